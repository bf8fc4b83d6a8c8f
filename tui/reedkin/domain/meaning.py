"""What the numbers mean, for a musician: shown by the help screen and printed in the README, the same words."""

from __future__ import annotations

NUMBERS: tuple[tuple[str, str], ...] = (
    (
        "A life",
        "goes from a reed's first playing to its retirement for wear, in hours played or in days. A reed that was "
        "dropped, chipped, lost or sold, or that still plays, has not worn out: it counts for as long as it was "
        "watched and then leaves the count. A blank that never came good has no life; it belongs to the yield.",
    ),
    (
        "The curve",
        "shows how many of a hundred reeds still serve after so many hours, and steps down when one wears out. 'Half "
        "last 13 h (12 to 14)' is where it passes fifty. The second pair of numbers is what chance leaves open: of "
        "twenty such pairs, about nineteen hold the truth.",
    ),
    (
        "Lives end 1.4 times as fast",
        "means that at any age, of reeds alike but for the habit, 1.4 times as many wear out. '(1.1 to 1.9 times)' is "
        "what chance leaves open. If the pair holds 1, the log cannot tell longer from shorter yet.",
    ),
    (
        "Clear, leaning, unclear",
        "say how likely it is that a habit matters, and that it does so the way it seems to: clear from 19 in 20, "
        "leaning from 8 in 10. You may look every day: the log is weighed against what was believed before, that one "
        "habit in five matters, and then makes lives end about twice as fast in one half of the reeds as in the other. "
        "Where you note cane lots, a habit has to hold among reeds of one lot, too.",
    ),
    (
        "Lives of 16 h are 1.8 h longer",
        "is how much longer your reeds last in the mean, of the 16 h that they last now, with more or less of a habit: "
        "between two ways of your own, such that a quarter of your reeds have less than the one and a quarter more "
        "than the other. It is drawn toward nothing as far as chance may have made it, since what stands out in a log "
        "mostly stands out too far; how fast lives end is told as the log has it.",
    ),
    (
        "Hours left",
        "such as 12 (5 to 27), are those that this very reed still has to play: as likely more than 12 as fewer, and "
        "in four reeds of five between the two others. They go by how long yours have lasted, by the hours it has, and "
        "by how its scores fade. A * says that none of yours is worn out yet, so that common practice stands in.",
    ),
    (
        "The drawing",
        "is to scale, from the butt of the tube to the tip. A number with a ? was not measured: it is drawn where you "
        "aim, dotted. The ▴ beneath are your targets; to set them: target eh tied 60 tip 51.",
    ),
    (
        "How many more retirements",
        "is how many reeds would have to wear out, beyond those so far, for a habit like this to become clear four "
        "times in five, if it is as it seems now. A habit that only seems to matter will fade instead.",
    ),
    (
        "Not a cause",
        "What goes together need not be cause and effect. If the reeds you tie longer are also those of a soft lot, "
        "the length may only look guilty. And as years go by much changes at once: nothing is called clear that does "
        "not hold among reeds of about the same time. Comparing within one lot, or beside other habits, helps; only a "
        "fair trial, in which chance decides which reed is made which way, can settle it.",
    ),
    (
        "What is done to a reed in use counts eight playing hours late",
        "or half a usual life, "
        "because a failing reed is touched up, rested and put down sooner. Counted at once, all of that would look "
        "deadly although it only keeps company with the end. Reeds are compared that scored alike in their first "
        "hours, since a good reed is treated better from the first. And nothing is ever counted over a whole life: "
        "whatever can only happen to a reed that lasts would look as if it made reeds last.",
    ),
    (
        "A fair trial",
        "may be looked at whenever you like, and ends early when it is settled: how sure it is says the same at every "
        "look. The way is drawn for the next reed before you type, whatever you type, so take the blank in hand first. "
        "What goes past the draw, or is made otherwise, is counted and told.",
    ),
    (
        "A circle",
        "is makers who let their logs be asked together, each by a small file in which no reed is told of. What the "
        "others' files say is believed before your own reeds are looked at, and your reeds move it from there. "
        "'Makers differ in this' means that for some of them it goes the other way, so it may for you: then your own "
        "reeds have the last word. Who is unlike the others is named and not reckoned with them, and nothing is "
        "called clear that hangs on one file.",
    ),
)
"""Each a term and what is said of it; the sentence goes on from the term where it begins in lower case."""
