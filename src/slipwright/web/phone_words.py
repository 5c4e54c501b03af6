"""The words of the scripts that keep records on a phone, in the tongue of the page."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from slipwright.web.aside_words import WHY


@dataclass(frozen=True, slots=True)
class PhoneWord:
    """A word by its name; ``one`` is said of one, where that is another."""

    name: str
    many: str
    one: str = ""


def phone_words() -> list[PhoneWord]:
    """Return every word the scripts say. Figures are put in where ``%(n)s`` and the like stand."""
    said = [PhoneWord(name, many) for name, many in _plain().items()]
    of_one = _counted(1)
    for name, many in _counted(2).items():
        said.append(PhoneWord(name, many, of_one[name] if of_one[name] != many else ""))
    return said


def _plain() -> dict[str, str]:
    return _of_records() | _of_the_phone() | _of_sending() | _of_what_is_wrong() | _of_what_is_aside()


def _of_what_is_aside() -> dict[str, str]:
    # what merely does not fit is told by its own reason: that names the column
    return {f"aside-{word}": str(words) for word, words in WHY.items() if word != "unfit"}


def _of_records() -> dict[str, str]:
    return {
        "rooted": _("%(n)s rooted"),
        "lost": _("%(n)s lost"),
        "given-up": _("%(n)s given up"),
        "removed": _("%(n)s removed"),
        "tried": _("%(n)s tried"),
        "tried-rooted": _("%(n)s of them rooted"),
        "no-change": _("looked, no change"),
        "not-yet": _("Looked: %(note)s") % {"note": _("not yet ready to pot")},
        "more-rooted": _("a look says that %(n)s more had rooted"),
        "note-kept": _("Note"),
        "felt": _("Bent a shoot"),
        "cut-back": _("Cut back"),
        "and": _(" and ").strip(),
        "taken-back": _("Taken back: %(what)s"),
        "doubt-in-bloom": _("The shoot is budded or in flower: it is better left to bloom"),
        "doubt-before-sticking": _("That day is before they were stuck"),
        "doubt-more-than-waiting": _("%(terms)s is more than %(there)s"),
        "doubt-more-than-rooted": _("%(said)s died, but only %(there)s stood rooted"),
        "doubt-tried-more": _("%(said)s tried, but only %(there)s stand there"),
        "doubt-potted-more": _("%(said)s potted, but only %(there)s stand there"),
    }


def _of_the_phone() -> dict[str, str]:
    return {
        "saved": _("Saved on this phone"),
        "saved-aside": _("The garden did not take it in."),
        "photo-not-kept": _(
            "The photo was not kept: this phone has no room for it, and it could not be sent."
        ),
        "received-at": _("Received %(time)s"),
        "no-signal": _("No signal: this page is as of %(time)s."),
        "missing": _("No signal, and the page you asked for is not kept on this phone."),
        "storage-stays": _("This browser has promised to keep what is saved here."),
        "storage-may-go": _(
            "This browser has not promised to keep what is saved here: send soon, and put the pages on the "
            "home screen."
        ),
        "phone-is-full": _(
            "This phone has no room left, so nothing was saved. Make room, or write it on paper; what you "
            "typed stays in."
        ),
        "not-kept": _(
            "This phone could not save it, and there is no signal. Nothing was saved; what you typed "
            "stays in."
        ),
        "not-readable": _("The garden could not read it."),
    }


def _of_sending() -> dict[str, str]:
    return {
        "send-done": _("Everything that could be sent was sent."),
        "send-no-signal": _("No signal. It is tried again by itself."),
        "send-signed-out": _("Sign in first: then it goes by itself."),
        "send-refused": _("The garden did not let this phone send. Sign in anew."),
        "send-not-allowed": _(
            "You may read here and not record, so the garden takes nothing from this phone. It all stays "
            "here; save it as a file, and a grower can hand it in."
        ),
        "send-later": _("The garden cannot take it all in just now. It is tried again by itself."),
        "send-sending": _("It is being sent in another window."),
    }


def _of_what_is_wrong() -> dict[str, str]:
    return {
        "wrong-whole": _("A count must be a whole number of 0 or more."),
        "wrong-number": _("This must be a number."),
        "wrong-day": _("This must be a date."),
        "wrong-ahead": _("The day must not be a day to come."),
        "wrong-tried": _("No more can have rooted than were tried."),
        "wrong-give-up": _(
            "To give up, leave the lost ones empty: all the rest are then lost, of no other cause."
        ),
        "wrong-nothing-left": _("This phone has a record of each batch here already."),
        "wrong-not-yet": _("Leave the pots empty where they are not yet ready to pot."),
        "wrong-count-pots": _("Say how many: count the pots."),
        "wrong-why-now": _("Say why they are potted before their time."),
        "wrong-words-missing": _("A note must hold some words."),
        "wrong-how-many": _("Say how many you stuck."),
        "wrong-each-lot": _("Say how many went into each lot."),
        "wrong-lots-differ": _("The lots do not come to the number at the top."),
        "wrong-where": _("Say where they stand."),
        "wrong-wood": _("Choose the wood: bend a shoot, or choose another way."),
        "wrong-anyway": _("Choose “All the same” to cut it in spite of that."),
        "wrong-ground": _(
            "This plant may not be multiplied without a licence. If it is done, say on what ground."
        ),
        "wrong-choose": _("Choose one first."),
        "wrong-where-to": _("Say where they were moved to."),
        "wrong-felt": _("Say how firm at least one part of the shoot is."),
    }


def _counted(n: int) -> dict[str, str]:
    return {
        "potted": ngettext("%(n)s potted", "%(n)s potted", n),
        "stuck": ngettext("Stuck %(n)s: %(code)s.", "Stuck %(n)s: %(code)s.", n),
        "nothing": ngettext(
            "%(n)s batch looked at, nothing to note", "%(n)s batches looked at, nothing to note", n
        ),
        "doubt-rooted-early": ngettext(
            "%(said)s rooted %(days)s day after sticking?", "%(said)s rooted %(days)s days after sticking?", n
        ),
        "rooted-died": ngettext("%(n)s rooted one died", "%(n)s rooted ones died", n),
        "unsent": ngettext(
            "%(n)s record on this phone not sent yet", "%(n)s records on this phone not sent yet", n
        ),
        "aside": ngettext("%(n)s set aside", "%(n)s set aside", n),
        "received-n": ngettext("%(n)s record received", "%(n)s records received", n),
        "sign-in-to-send": ngettext("Sign in to send %(n)s record.", "Sign in to send %(n)s records.", n),
        "photos-wait": ngettext(
            "%(n)s photo on this phone is not sent yet.", "%(n)s photos on this phone are not sent yet.", n
        ),
        "wait-for-sign-in": ngettext(
            "%(n)s record on this phone waits for whoever made it to sign in.",
            "%(n)s records on this phone wait for whoever made them to sign in.",
            n,
        ),
        "sign-out-waits": ngettext(
            "%(n)s record is not sent yet. It stays on this phone, and goes once you sign in here again.",
            "%(n)s records are not sent yet. They stay on this phone, and go once you sign in here again.",
            n,
        ),
    }
