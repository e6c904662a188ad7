// Shrinks a photo to what evidence needs. Drawing it anew turns it upright and leaves out where it was taken.

const SIDE = 2000; // px
const QUALITY = 0.82;

// {name, file, type, bytes}: shrunk where the browser can read it; else as it came, and the server looks at it.
export async function evidence(name, file) {
  try {
    const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
    const share = Math.min(1, SIDE / Math.max(picture.width, picture.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(picture.width * share);
    canvas.height = Math.round(picture.height * share);
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    picture.close();
    const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", QUALITY));
    if (blob) return { name, file: "photo.jpg", type: "image/jpeg", bytes: await blob.arrayBuffer() };
  } catch {
    // Not a picture that this browser knows.
  }
  return { name, file: file.name, type: file.type, bytes: await file.arrayBuffer() };
}
