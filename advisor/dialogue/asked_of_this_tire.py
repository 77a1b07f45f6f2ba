"""Whether a question speaks of the tire in hand, so that what it names may be so: mine's 9 mm, like this, the flap.

A question of the trade in general says nothing of a tire. One that states something beside it, affirms what it
supposes, points at something or asks what should have been done may tell; then a repair's card begins with it until it
is said or denied. The forms are the grammar of English; what is bad is told by the phrases.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from advisor.dialogue.no_news import is_no_news
from advisor.dialogue.not_counted import ASKED_IN_GENERAL, LONGEST_QUOTED
from advisor.dialogue.question_form import asks_by_form
from advisor.loader.answer_codec import is_cant_tell, plain
from advisor.model.lexicon_entries import Phrases
from advisor.nlu.part_runs import part_runs_of
from advisor.nlu.small_words import said_pattern
from advisor.nlu.what_weighs import weighs

CLAUSE = said_pattern("ends-a-clause", re.IGNORECASE)
SUPPOSES = re.compile(r"\s*(?:what |and |even |or |so |but |ok )*(?:if|say|suppose|supposing|imagine)\b", re.I)
#: Without one of these, what stands behind a question goes on asking: or a knot.
TELLS_SO = said_pattern("states", re.IGNORECASE)
#: It asks what a word means, and of no tire.
DEFINES = said_pattern("defines", re.IGNORECASE)
IN_GENERAL = re.compile(r"\b(?:an?|any|all|most|some|other|every) (?:[a-z-]+ )?(?:tires?|tyres?|casings?)\b", re.I)
_AFFIRMS = re.compile(
    r"^(?:(?:and|which|as|cause|cos|because|but|yes|well|like)\s+)*"
    r"(?:it|he|she|they|we|i|this|that|there|mine|this one|they)(?:'s|s)?"
    r"(?:\s+(?:is|was|does|did|has|had|do|are|were|here|so))*(?:\s+(?:so|that|here|now|already|what it is))*$",
    re.I,
)
#: A bare line that says of what was supposed that it is so.
_SO_IT_IS = re.compile(
    r"(?:(?:yes|yep|yeah|well|and|so|cos|because)\s+)*(?:(?:it|he|she|they|there|that|this)"
    r"(?:'s|s| is| was| does| did| has| had| are| were)(?: so| that| it| what it is| here)?"
    r"|so (?:it|he|she|they|there) (?:is|does|did|has|had|was|are)|that'?s what (?:i|we)(?:'ve| have)?(?: got| see)?"
    r"|keep(?: it| that)?|make it so|take it|count it)",
    re.I,
)
_HAS_IT = said_pattern("has-what-was-asked", re.IGNORECASE)
#: Points at the tire in hand.
_POINTS = re.compile(
    r"\b(?:mine|mine's|ours|this (?:one|tire|tyre)(?:'s| is| was| has| had| takes| looks| needs| runs| got)"
    r"|(?:one|some|it|them|two|this|that) (?:in )?(?:here|there)|(?<!for )in (?:here|there)|one by the"
    r"|like (?:this|that|here|mine|i|we|he|they|it|last)|(?<!if )there(?:'s|s| is| are| was)|why(?:'s| is| are) there"
    r"|matters? (?:that|when|as)|(?:should|was|were|did) (?:i|we) (?:have|meant|supposed|need)"
    r"|do (?:i|we) (?:need|have) to look|who says (?!so\b|that\b|this\b|it\b)\w+"
    r"|(?:the|an?|this|that|my) (?:old|existing|other|second|further) (?!number|figure|letter|line|step|coat)\w+"
    r"|for an? (?:seven|eight|nine|ten|eleven|twelve|half)"
    r"|(?:with|for|on|of|has|covers|fits) an? (?:about )?\d[\d./]*|this (?:about )?\d[\d./]*|already|actually|like now"
    r"|(?:tire|tyre|casing|tread|hole|one|liner|bead|wall) (?:this|that|so) \w+|this be(?! used\b| done\b)"
    r"|that's (?:where|what|how)"
    r"|i can (?:see|feel|hear|smell)|the one (?:in|on|by|at|near)|with it being|worr(?:y|ied) about (?:the|this|that|a)"
    r"|how (?:do|should) (?:i|we) (?:say|enter|type|log|record|tell you)"
    r"|(?:change|hurt|matter|problem|difference|bad|okay|ok)\w*(?: \w+){0,4} that (?:the|it|he|she|they|i|we|his)"
    r"|(?:a|an|the) (?:hole|liner|tread|bead|wall|sidewall|cut|unit|patch) that(?:'s| is| has)"
    r"|can (?:i|we) (?:still |just )?(?:fix|plug|patch|mend|do) (?:an?|one) \w+ (?:in|on|by|near) the"
    r"|when (?:the (?:hole|nail|cut|injury)|it)(?:'s| is| was| sits| goes)"
    r"|who (?:drove|ran|hit|put|patched|plugged|repaired|fixed|mended|cut|glued|filled|buffed))\b",
    re.I,
)
#: Tells what somebody saw, did or left undone; behind do, can or if it asks.
_TELLS = re.compile(
    r"(?<!\bdo )(?<!\bcan )(?<!\bdid )(?<!\bcould )(?<!\bshould )(?<!\bwould )(?<!\bmay )(?<!\bmust )"
    r"(?<!\bwill )(?<!'t )(?<!\bif )\b(?:i|we|he|she|they|driver|customer|mate|boss)(?:'ve|'d|'s)? (?:have |has )?"
    r"(?:never|only|already|didn'?t|did not|haven'?t|hasn'?t|wasn'?t|had|did|put|drove|guessed|felt|saw|see"
    r"|found|got|ran|think|thought)\b"
    r"|\bmy \w+ (?:goes|went|shows|showed|finds|hits|catches|says|reads|feels)\b"
    r"|\bif (?:i|we|he|she|they) (?:only|never|already|drove|ran|saw|felt|guessed)\b",
    re.I,
)
#: Takes something for so, whatever is asked of it: does a patch that came off count.
_SO_WHATEVER = said_pattern("is-so-whatever", re.IGNORECASE)
_OF_WHAT_IS_THERE = said_pattern("asks-of-what-is-there", re.IGNORECASE)
_MENDS_A_PART = said_pattern("mends-a-part", re.IGNORECASE)
_THIS = re.compile(r"\b(?:this|that|these|those)\b", re.I)
_MEASURES_IT = re.compile(r"\b(?:measure|explain|check) (?:the|my)\b", re.I)
_WORD = re.compile(r"[^\W\d_]+")
_LIKE_THIS = re.compile(
    r"\b(?:like (?:here|this|that|mine|now)|actually|already"
    r"|(?:was|were|is) the (?:broken|wrong|other|bad|dud|faulty)"
    r"|(?:i|we|he|she) (?:only|never|hadn't|haven't|didn't|missed|forgot|couldn't)"
    r"|(?:this one|mine) (?:took|had|has|was|is|ran|got|went|carried))\b",
    re.I,
)
#: Ahead of a word that tells of something bad: it is there, or it is challenged.
_THERE = re.compile(
    r"\b(?:the|this|that|these|those|his|her|that's|that is|which is|why so|why"
    r"|which \w+ (?:for|covers|fits|sticks to|goes on|do i use (?:for|on))"
    r"|with an?|with some|with|has an?|got an?|some|slight|few"
    r"|an? (?:bit|little|touch|spot|trace) of|enter|type|record|write(?: down)?|put (?:in|down)|log|report)\s+\S+",
    re.I,
)
#: Goes on asking: or a bubble.
_ONE_MORE_THING = re.compile(r"(?:or |and )?an? (?:[\w'-]+ ?){1,3}(?:or an? [\w'-]+)?", re.I)
#: Behind what is supposed: that it is so.
_SO_SUPPOSED = re.compile(r",? (?:which|and|as|cause|because|cos) (?:it|he|she|they|there)(?:'s)? \w+$", re.I)
#: A statement in so many words: it's peeling.
_ITS = re.compile(r"(?:it|they|that|this|he|she)(?:'s|s| is| are| was| has| does)\b", re.I)
_WHEN_THE = re.compile(r"\b(?:when|where|while|with) the (?P<part>[\w'-]+)")
#: It takes its own clause to be so: why does the wall feel thin. Or it asks for the reason of a rule.
_ASKS_NOTHING = said_pattern("ahead-of-a-question").pattern
_AHEAD = re.compile(rf"\s*(?:{_ASKS_NOTHING}\b[, ]*)*", re.IGNORECASE)
_TAKES_TO_BE_SO = said_pattern("takes-to-be-so", re.IGNORECASE)
_OF_THE_RULES = said_pattern("asks-of-the-rules", re.IGNORECASE)
_WHOLE_TIRE = frozenset({"tire", "tires", "tyre", "tyres", "rubber", "casing", "tread", "hole", "valve", "stem"})
#: So far behind the word that points what is bad may stand, and where another thing begins ahead of that.
MOST_WORDS_BEHIND = 6
_OF_ANOTHER = frozenset({"an", "any", "between", "to", "or", "if", "than", "and", "about"})


def has_it(text: str) -> bool:
    """Whether a bare line says that this tire has what was asked about: yes that's what I have."""
    return bool(_HAS_IT.fullmatch(plain(text)))


def affirms(text: str) -> bool:
    """Whether a bare line says that it is so: it is, he did, that's what it is, keep."""
    return bool(_SO_IT_IS.fullmatch(plain(text)))


def takes_to_be_so(asked: str) -> bool:
    """Whether a question takes what it asks about to be so of the tire in hand, and asks for no reason of a rule."""
    bare = _AHEAD.sub("", asked, count=1)
    return bool(_TAKES_TO_BE_SO.match(bare)) and not (_OF_THE_RULES.search(bare) or IN_GENERAL.search(bare))


def speaks_of_this_tire(line: str, phrases: Phrases) -> str:
    """The words of a question that may tell of the tire in hand what it names; empty where it asks in general."""
    whole = line.strip(" ?")
    if takes_to_be_so(whole):
        return whole
    pieces = [piece.strip(" ?") for piece in CLAUSE.split(line) if piece.strip(" ?")]
    supposed = any(SUPPOSES.match(piece) for piece in pieces)
    if supposed and _SO_SUPPOSED.search(whole):
        return whole
    for piece in pieces:
        if len(pieces) > 1 and is_no_news(piece, phrases):
            continue
        asks = asks_by_form(piece)
        if SUPPOSES.match(piece):
            tells = bool(_LIKE_THIS.search(piece))
        elif supposed and not asks:
            bad = not phrases.telling.isdisjoint(piece.casefold().split())
            tells = bool(_AFFIRMS.match(piece)) or _points(piece, phrases) or (bad and bool(_ITS.match(piece)))
        else:
            goes_on = bool(_ONE_MORE_THING.fullmatch(piece)) and not TELLS_SO.search(piece)
            stated = len(pieces) > 1 and not (asks or goes_on or is_cant_tell(piece)) and weighs(piece, phrases)
            tells = stated or _points(piece, phrases)
        if tells:
            return whole if len(whole) <= LONGEST_QUOTED or not asks else piece
    return ""


def _points(piece: str, phrases: Phrases) -> bool:
    """Whether a part of a question points at this tire, tells of it, or takes something bad on it to be there."""
    if _POINTS.search(piece) or _TELLS.search(piece):
        return True
    if _SO_WHATEVER.search(piece) or _MENDS_A_PART.search(piece):
        return True
    parts = set(phrases.classes.get("tire-part", ()))
    if any(_names_bad(match, parts, phrases) for match in _OF_WHAT_IS_THERE.finditer(piece)):
        return True
    if any(match["part"] in parts - _WHOLE_TIRE for match in _WHEN_THE.finditer(piece.casefold())):
        return True
    if (DEFINES.match(piece) and not (_THIS.search(piece) or _MEASURES_IT.search(piece))) or IN_GENERAL.search(piece):
        return False
    bad = phrases.telling.difference(phrases.classes.get(ASKED_IN_GENERAL, ()), parts)
    low = piece.casefold()
    return any(word in bad for match in _THERE.finditer(low) for word in _behind(match, low))


def _names_bad(match: re.Match[str], parts: set[str], phrases: Phrases) -> bool:
    """Whether what is asked about as being there is bad, a cord that can be seen, or put down by an uncommon word."""
    named = set(_WORD.findall(match[match.lastindex or 0].casefold()))
    bad = phrases.telling.difference(parts).union(phrases.classes.get("cord", ()))
    return not named.isdisjoint(bad) or (match.lastindex == 1 and not named <= part_runs_of(phrases).known)


def _behind(match: re.Match[str], low: str) -> Iterator[str]:
    """The words behind one that points, up to where another thing begins: the difference between a bulge."""
    for word in low[match.start() :].replace(",", " ").split()[1:MOST_WORDS_BEHIND]:
        if word in _OF_ANOTHER:
            return
        yield word
