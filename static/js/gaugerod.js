// Small comforts. Every page works without this file.

// On a narrow screen the rod is wider than the screen: show where the job stands.
for (const rod of document.querySelectorAll(".rod")) {
  const now = rod.querySelector(".now");
  if (now && rod.scrollWidth > rod.clientWidth) {
    rod.scrollLeft = now.offsetLeft - rod.offsetLeft - (rod.clientWidth - now.offsetWidth) / 2;
  }
}

// A form that came back with errors: say so at once, and take the keyboard there.
document.querySelector(".errors[role=alert]")?.focus();
