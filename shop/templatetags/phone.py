"""The words of the phone's scripts (static/js/phone), in the person's language, and whom its pages offer to call."""

from django import template
from django.contrib.auth.models import AnonymousUser
from django.utils.translation import gettext as _

from shop import queries
from shop.models import Staff

register = template.Library()


@register.simple_tag
def phone_words() -> dict[str, str]:
    """The texts by name; `%(name)s` is filled in by the script."""
    return {
        "no_signal": _("No signal."),
        "one_waits": _("1 entry waits on this phone since %(since)s."),
        "some_wait": _("%(count)s entries wait on this phone, the first since %(since)s."),
        "log_in": _("Log in again to send."),
        "log_out_no_signal": _("No signal: you can log out only with signal. The day stays on this phone."),
        "clock_off": _(
            "This phone’s clock is off by %(hours)s h %(minutes)s min: set it by the network. What you enter gets the "
            "shop’s time."
        ),
        "mend": _("Something wasn't taken: look at it."),
        "others_wait": _("Entries of %(name)s wait on this phone: they go when %(name)s logs in here."),
        "of_another": _(
            "%(count)s waiting, kept for %(name)s: only %(name)s, logged in here, sees what is in them or deletes them."
        ),
        "lost": _(
            "Lost from this phone: %(count)s, the first from %(since)s. They never reached the shop: this phone "
            "cleared its storage. Look at the checks of that time and enter them again."
        ),
        "understood": _("I have seen it"),
        "as_of": _("This page is as it was at %(when)s."),
        "on_phone": _("kept on this phone at %(when)s, not sent yet"),
        "kept": _("Kept"),
        "unjudged": _("Kept. It is judged when it is sent, not before"),
        "holds": _("Holds"),
        "fails": _("Fails"),
        "waiting": _("The wait began"),
        "skipped": _("Couldn't check"),
        "hours_left": _("%(hours)s h %(minutes)s min left"),
        "seconds_left": _("%(minutes)s min %(seconds)s s left"),
        "early": _("Too early: it counts only once what comes before it is over. See above what that is."),
        "wait_over": _("By this phone’s clock the wait is over."),
        "with_photo": _("with a photo"),
        "not_taken": _("Not taken:"),
        "mend_it": _("Mend it"),
        "not_yours": _(
            "The server doesn't take this (%(status)s): perhaps you are no longer on this job. It stays on this phone. "
            "Tell the office what it says."
        ),
        "full": _("This phone couldn't keep it: its storage is full or closed. What you typed still stands here."),
        "photo_unread": _("This photo couldn't be read: take it again."),
        "needs_signal": _("No signal: this can be done only with signal. What you typed still stands here."),
        "held": _("Something holds it still: %(what)s"),
        "not_signed": _("%(name)s isn't signed"),
        "may_sign": _("As far as this phone knows, all is proved. The sign-off is sent after the entries."),
        "may_try": _(
            "Some of it only the shop can judge. The sign-off is sent after the entries, and comes back if held."
        ),
        "say_why": _("Say why it can't be checked."),
        "press_one": _("Press one of the two: it is so, or it isn't."),
        "say_who": _("Say who inspected it: the name on the card or the report."),
        "press_begin": _("Press the button: the wait begins with it."),
        "take_photo": _("Take the photo first: this check is proved by it."),
        "enter_reading": _("Enter the reading."),
        "one_photo": _("1 photo of this job is on this phone still: it can be sorted once it is sent."),
        "some_photos": _(
            "%(count)s photos of this job are on this phone still: they can be sorted once they are sent."
        ),
        "sorted_here": _("sorted on this phone, not sent yet"),
        "taking": _("Taking the day along: %(kept)s of %(all)s pages"),
        "day_kept": _("On this phone since %(when)s: %(kept)s pages, to be read and filled in without signal."),
        "day_part": _("On this phone: %(kept)s of %(all)s pages. Open Today again where there is signal."),
        "no_https": _(
            "At this address nothing can be taken along: a page opened without signal won't load. Entries made on a "
            "page that is open are kept and sent later. The owner finds the secure address, or how to get one, under "
            "Settings, Phones."
        ),
        "open_page": _("Open its page"),
        "send_again": _("Send again"),
        "delete": _("Delete"),
        "pin_digits": _("Type 4 to 8 digits."),
        "pin_easy": _("That is guessed at once: not all the same, not one after the other."),
        "pin_differ": _("The two PINs differ: type the same twice."),
        "pin_not_kept": _("This phone couldn't keep the PIN: its storage is full or closed."),
        "pin_set": _("The PIN is set."),
        "pin_gone": _("This phone asks for no PIN any more."),
        "pin_wrong": _("Wrong PIN. %(left)s tries left."),
        "pin_last": _("Wrong PIN. One try left; then you log in with your password."),
        "pin_shut": _("Too many wrong PINs. Log in with your password as soon as there is signal."),
        "pin_no_signal": _("No signal: the password can be checked only with signal."),
        "really_delete": _("Delete it from this phone for good? It was never sent."),
    }


@register.simple_tag
def keeps_photo_place(user: Staff | AnonymousUser) -> bool:
    """Whether the shop wants photos with their position: else the phone doesn't even send it."""
    return isinstance(user, Staff) and queries.shop_settings().keep_photo_place


@register.simple_tag
def whom_to_call(user: Staff | AnonymousUser) -> queries.Call | None:
    """Whom the field's pages offer to call; nobody where no one is logged in."""
    return queries.whom_to_call(user) if isinstance(user, Staff) else None
