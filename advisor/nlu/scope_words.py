"""The small words that decide whether a thing was said outright: closed lists, the same for every rule set.

They are the grammar that keeps a doubt a doubt, so no rule set can loosen them; a language writes its own words onto
them by `spellings` of phrases.yaml.
"""

from __future__ import annotations

import re

#: What stands ahead of a thing that is taken as being there: the bulge, this separation, its bulge.
DEFINITE = frozenset(
    {"the", "this", "that", "these", "those", "its", "his", "her", "my", "our", "your", "their", "which"}
)
#: May stand between such a word, or a denial, and the thing.
PLAIN_ADJECTIVES = frozenset(
    {"visible", "exposed", "showing", "single", "earlier", "old", "older", "previous", "prior", "existing"}
)
#: A place that a thing is named by: what stands behind one is there, or may be.
PLACING = frozenset(
    (
        "by", "beside", "besides", "near", "at", "around", "round", "under", "underneath", "behind", "below", "above",
        "over", "on", "in", "into", "inside", "within", "with", "for", "from", "about", "because", "to", "next",
        "along", "through", "past", "due", "alongside", "against", "off", "close",
    )
)  # fmt: skip
#: What may stand between a denial and the thing that it denies. Everything else ends the denial.
BETWEEN_NO = PLAIN_ADJECTIVES | frozenset(
    {"any", "of", "sign", "signs", "trace", "traces", "evidence", "a", "or", "nor", "and", "whatsoever"}
)
BETWEEN_NOT = BETWEEN_NO | frozenset(
    {
        "an", "been", "be", "being", "have", "has", "had", "got", "get", "find", "found", "feel",
        "see", "ever", "there",
        "there's", "it", "is", "are", "was", "were", "one", "run", "driven", "ridden",
    }
)  # fmt: skip
#: In the gap of a phrase, or between the parts of a frame, these deny it: liner is not split.
DENYING = frozenset({"no", "not", "never", "without", "didn't", "wasn't", "don't", "isn't", "aren't", "doesn't"})
#: What may stand between the parts of a frame: liner [looks badly] stained, stains [all over the] liner.
JOINING = frozenset(
    {"is", "are", "was", "were", "be", "been", "the", "a", "an", "its", "it's", "my", "all", "looks", "look", "looking",
     "very", "quite", "really", "bit", "of", "some", "little", "slightly", "badly", "just", "on", "in", "at", "to",
     "from", "inside", "round", "around", "over", "out", "off", "up", "has", "have", "had", "got", "there", "it",
     "that", "this", "through", "along", "by", "near", "you", "can", "i", "see", "where", "into", "them", "wee", "big",
     "small", "inner", "more", "than", "one", "both", "two", "completely", "totally", "clean", "right", "starting",
     "started", "appears", "shows", "showing", "visible", "going", "gone", "came", "come", "coming", "whole", "way",
     "part", "with", "about", "for", "we", "he", "they", "her", "him", "those", "these", "any", "as", "well", "only",
     "most"}
)  # fmt: skip
#: Denials of a thing; the others deny a verb.
NO_WORDS = frozenset({"no", "zero", "without", "neither", "nor", "free", "none"})
#: "No wonder", "no doubt" and the like deny nothing.
NO_DENIAL = frozenset(
    {"wonder", "doubt", "question", "surprise", "denying", "mistaking", "missing", "mistake",
     "kidding", "joke", "lie",
     "only", "just", "merely", "simply", "hiding", "arguing", "getting", "shortage", "lack"}
)  # fmt: skip
EXCEPTING = frozenset({"except", "except for", "apart from", "besides", "other than", "bar"})
#: A thing looked for is not yet one found.
SEARCHED = ("looked for", "checked for", "searched for", "felt for", "inspected for", "look for", "check for")
#: With one of these behind, a thing not seen before is there now.
UNTIL = frozenset({"until", "till", "before", "initially", "originally", "yesterday", "anymore", "longer"})
NOTICING = frozenset(
    {"saw", "see", "seen", "notice", "noticed", "spot", "spotted", "find", "found", "catch", "caught", "spotting"}
)
#: Right behind a thing these leave its denial standing: cord not showing anywhere.
BEHIND = frozenset(
    {"showing", "visible", "there", "present", "found", "at", "all", "anywhere", "here", "any", "exposed", "on", "in",
     "it", "whatsoever", "none", "no"}
)  # fmt: skip

#: A clause with a denial holds nothing but these and what was understood; any other word leaves the denial in doubt.
PLAIN = (
    BETWEEN_NOT
    | BEHIND
    | frozenset(
        {
            "the", "it's", "its", "that's", "this", "that", "i", "i've", "we", "we've", "also",
            "too", "either", "just",
            "so", "now", "and", "or", "nor", "no", "not", "never", "none", "nothing", "neither", "without",
            "isn't", "wasn't", "aren't", "weren't", "doesn't", "don't", "didn't", "hasn't",
            "haven't", "hadn't", "ain't",
            "couldn't", "does", "do", "did", "found", "looked", "checked", "inspected", "went", "walked", "over",
            "felt", "myself", "twice", "carefully", "properly", "thoroughly", "completely",
            "fully", "whole", "entire",
            "everywhere", "tire", "tires", "tyre", "casing", "wheel", "inside", "within", "yes", "yeah", "ok", "okay",
            "fine", "good", "clean", "clear", "intact", "sound", "definitely", "certainly", "clearly", "absolutely",
            "both", "well", "really", "else", "wrong", "damage", "damages",
            "my", "hand", "hands", "seen", "noted", "fabric", "carcass", "nowt", "nil",
            "nada", "ones", "are", "were", "these", "of", "free", "zero", "sign",
            "nope", "absent",             "has", "round", "all", "non", "see", "sees", "ever", "then",
            "liner", "tread", "bead", "beads", "sidewall", "sidewalls", "belt", "belts",
            "cords",             "visibly", "anything", "ply", "plies", "repaired", "patched",
            "plugged", "recapped", "retreaded",
        }
    )
)  # fmt: skip
#: Only a part of the tire: a denial there is none of the whole, unless both sides are named.
PART = frozenset({"outside", "out", "outer", "inner", "side", "sides", "left", "right", "front", "rear", "top", "face"})
#: Ahead of such a place a denial is one of that place only.
LOCAL = frozenset({"around", "near", "beside", "at", "by", "under", "next", "along"})

_ABOUT_ME = r"(?:i|we|i'd|i'm|we're|i've)"
#: With "as" behind, what one takes a thing for: took the angle as 10 degrees, put it down as first tread.
ASSUMING = (
    "took", "take", "taken", "taking", "put", "putting", "wrote", "written", "treat", "treated", "treating", "count",
    "counted", "enter", "entered", "log", "logged", "book", "booked", "call", "called", "calling", "set", "had",
    "have", "class", "classed",
)  # fmt: skip
HEDGE = re.compile(
    r"\b(?:normally|usually|generally|ordinarily|typically|as a rule|in general"
    r"|hopefully|probably|possibly|perhaps|maybe|likely|presumably|supposedly|apparently|allegedly|seemingly"
    r"|reportedly|evidently|conceivably|theoretically|technically|basically|practically|virtually|mostly|mainly"
    rf"|{_ABOUT_ME} (?:\w+ )?(?:think|guess|guessed|believe|reckon|suppose|assume|figure|expect|imagine"
    rf"|gather|suspect"
    r"|presume|feel like|understand|hope|bet|trust)|(?:i'd|id|i d) bet|betting|guess(?:ing|in)?"
    r"|assum(?:e|ing|in)|suppos(?:e|in)"
    r"|reckon(?:ed|ing|in)?|figur(?:e|in)|thinkin|hopin|spose"
    r"|(?:i'd|i would|id|we'd|one could|you could) say"
    r"|might|may (?:be|have|not|well)|could (?:be|have|well|even|still)|far as|that (?:i|we) (?:know|can"
    r"|could|am|saw)"
    r"|not that (?:i|we|anyone)|(?:i|we|anyone) (?:know|knows|knew) of|to (?:my|our) knowledge|in (?:my|our) opinion"
    r"|from what|from where|(?:pretty|fairly|almost|quite|reasonably|nearly|mostly) (?:sure|certain|confident)"
    r"|(?:sure|certain) (?:hope|wish)|kind of|sort of|more or less|give or take it"
    r"|(?:look|looks|looked|sounds|feels) (?:like|as if|as though)|looks to (?:be|have)|seems?|seemed"
    r"|appears?|appeared"
    r"|don't (?:think|believe|reckon|suppose|expect|imagine)|do not (?:think|believe)|didn't think"
    r"|(?<!no )(?<!without )(?<!without a )doubt|doubtful"
    r"|suspect|suspected|suspicious|best (?:i|guess|we)|so far|(?:at|on) (?:a|first) (?:quick )?(?:glance"
    r"|look|sight)|glance"
    r"|by the looks? of|one (?:assumes|presumes|supposes|hopes|thinks|guesses|imagines)"
    rf"|(?:{'|'.join(ASSUMING)}) (?:\w+ ){{1,6}}(?:as|at)(?! (?:all|least|once|the))"
    r"|came off an?"
    r"|(?:just |only )?(?:for now|for the moment|for the time being|pending|by default)(?! that)"
    r"|(?:never|not|didn't|haven't) (?:been )?probed?|never had the (?:nail|screw|object|thing) out"
    r"|(?:from|by) memory|by (?:eye|feel|sight)|eyeball(?:ed|ing)?|thumbnail|ballpark|guesstimate"
    r"|quick look|rule out|fingers crossed|touch wood|knock on wood|don't quote|not (?:100|entirely"
    r"|completely|totally|so"
    r"|too|quite|really|fully|altogether|absolutely|very|all that|exactly) (?:\w+ )?(?:sure|certain"
    r"|confident|convinced)"
    r"|not (?:sure|certain|convinced)|if (?:memory|i remember|i recall)|in theory|by rights|as good as"
    r"|obvious|apparent|noticeable|obviously not|i'd hope|i want to say|would guess)\b"
)
#: A hedge of all that follows in its sentence: so call it a quarter, through.
CARRYING = re.compile(r"\b(?:call(?:ing|ed)? it|(?:i|we) (?:wouldn't|would not))\b")
#: What makes a figure another one than it seems.
ALTERS = re.compile(
    r"\b(?:except|apart from|other than|excluding|excepting|barring|bar (?:the|a|an|one|for)|aside from"
    r"|minus|ignoring|leaving out"
    r"|(?:not|don't|doesn't|without|if you don't) (?:counting|count|including|include)"
    r"|or (?:more|less|over|under|above|below|better|worse|so more|\w+er)|and (?:over|up|above|more|growing|counting)"
    r"|plus(?! (?:a|an|another|one)\b)|and (?:a|some) (?:bit|change|touch|hair|tad|little)|pushing"
    r"|upwards?|at least|at the least|no less|not less|before|until|till|at first|initially|originally|or maybe"
    r"|a (?:good|fat|strong|big)(?= \d)|(?:north|south|shy|wide) of|just (?:over|under|shy)|barely|hardly|nearly|almost"
    r"|more|bigger|larger|wider|longer|deeper|steeper|worse|lower|higher|less|softer|greater|narrower|smaller"
    r"|shallower|tighter|growing|grows|grew|grown|opens?|opened|opening|widens?|widening|widened|flares?|flaring"
    r"|bends?|bending|curves?|curving|turns|spreads?|spreading|ripped|tore|torn|split|splits|splitting"
    r"|(?:not|never) (?:measured |taken )?(?:from|off|to) (?:the )?square"
    r"|topped|pumped|inflated|aired|refilled|added|hot|warm|if any|w?h?ere there"
    r"|still (?:in|inside|there|stuck)|bald|worn(?! (?:even|down to|to)\b)|smooth|cupped|feathered|uneven|unevenly"
    r"|partly|partially|halfway|average|averages|averaging|mean|typical|typically|nominal|uncleaned|unprobed|dirty)\b"
    r"|(?<=\w) \+(?!/)"
)
#: Beside a figure these leave it open how exact it is.
ROUGHLY = re.compile(
    r"~|±|\b(?:about|around|roughly|circa|ca|approx\w*|some|say|nearly|almost|plus|up to|over|under|or)\b", re.I
)
#: "Should be" and the like say what a figure is meant to be, and of anything else what is hoped.
MEANT = re.compile(
    r"\b(?:should(?:n't)?|ought(?:n't)?|supposed to|meant to|must (?:be|have|not)|expected to|bound to|due to be)\b"
)
#: What is still to come is not done.
TO_COME = re.compile(
    r"\b(?:will|won't|gonna|going to|about to|once|after|as soon as|when|by (?:then|now|tonight|tomorrow"
    r"|noon)|need(?:s)? to"
    r"|have to|has to|trying|until|till|almost|nearly|half|let me|i'll|we'll|ready to|waiting|tomorrow"
    r"|later|before)\b"
)
_SEEING = r"(?:look(?:ed|ing)?|check(?:ed|ing)?|inspect(?:ed|ing)?|examined?|go(?:ne)? over|searched?|probed?)"
NOT_LOOKED = re.compile(
    r"\b(?:(?:didn't|did not|haven't|have not|hasn't|has not|not|never|nobody|no one|noone|couldn't"
    r"|could not|can't|cannot"
    r"|yet to|still to|need to|needs to|will|going to|gonna|without|i'll|have to|wasn't able to|unable to|isn't)"
    rf"(?: (?:been|yet|really|even|actually|properly|had|a|the|chance|bothered|to|has|have|able|time|fully"
    rf"|quite|done))*"
    rf" {_SEEING}|(?:can't|cannot|couldn't|could not|didn't|did not|haven't|hasn't|never|not able to"
    rf"|unable to|hard to"
    r"|impossible to|can't really|can barely|could barely) (?:really |even |actually )?(?:see|seen|feel"
    r"|felt|notice|noticed"
    r"|spot|spotted|make out|get at|get to|get a look|reach|tell)|only (?:looked|checked|inspected|seen"
    r"|saw|did|the|had|from"
    r"|glanced|one|outside|felt)|just (?:looked|glanced|peeked|the outside|from)|no (?:chance|time|light"
    r"|torch|flashlight"
    r"|access|way to|idea|clue|telling)|not yet|yet|unchecked|uninspected|still dirty|too dark"
    r"|in this light|unseen)\b"
)
_PERSON = (
    r"(?:he|she|they|who|someone|somebody|driver|drivers|boss|customer|customers|owner|colleague|coworker|co worker"
    r"|foreman|manager|dispatcher|dispatch|mechanic|tech|technician|apprentice|kid|guy|guys|bloke|lad"
    r"|fella|shop|dealer"
    r"|fleet|office|caller|buddy|wife|husband|dad|brother|son|partner|partners|helper|supervisor|chief|lead|inspector"
    r"|previous|last|other|seller|operator|trucker|farmer|people|folks|everyone|everybody|paperwork|paper"
    r"|report|record|manual|book|handbook|rules?|law|instructions|guide|poster|sheet|sop|procedure|policy|standard"
    r"|records|tag|label|docket|chalk|marking|log|ticket|invoice|note|card|form|system|computer|app|history|file|rep|others|clerk|garage|everyone's)"
)
OTHERS_WORD = re.compile(
    r"\b(?:according to(?! (?:the|my|our|a) (?:gauge|placard|sidewall|sticker|plate|book|print|caliper"
    r"|ruler))|(?:i|we) (?:was|were|am|got|'ve been) told|i'm told|been told|told (?:me|us)|tells (?:me|us)"
    r"|word is|word has it|rumou?r|hearsay|(?:i|we) (?:heard|hear|read)|heard|supposedly|going by|per the"
    r"|says who|claims"
    r"|claimed|swears|swore|insists|insisted|reckons|reckoned|thinks|believes|promised|promises|assured"
    r"|assures|guarantees"
    r"|guaranteed|vouches|vouched|so they say|they say|on paper"
    rf"|{_PERSON} (?:\w+ ){{0,4}}?(?:said|says|say|told|tells|mentions?|mentioned|reports?|reported"
    rf"|thinks?|thought|believes?"
    r"|measured|measures|checked|looked|saw|found|finds|noticed|gauged|wrote|writes|put|guessed|guesses"
    r"|figures|figured"
    r"|reads?|states?|stated|shows?|showed|told|calls?|called|lists?|listed|confirmed|confirms"
    r"|has it|had it|have it|gave"
    r"|gives|is sure|was sure"
    r"|will tell|would know|told me|knows|knew)"
    rf"|(?:says|said|say) (?:the|my|our|his|her|a)? ?{_PERSON})\b"
)
#: An order is no report: get it off the rim first.
ORDERS = re.compile(
    r"^(?:(?:please|just|now|then|so|ok|and|first|you|go|better) )*(?:get|take|pull|pop|break|remove|demount|dismount"
    r"|deflate|check|look|make|let's|lets|don't|never|always|see|tell|ask|wait|keep)\b(?! (?:a look|care))"
)
#: What makes a clause a question, wherever the mark was left out.
_AUX = r"(?:is|are|was|were|does|do|did|can|could|should|will|would|has|have|had|am|may|might|shall|must|isn't|aren't"
_AUX += r"|wasn't|doesn't|don't|didn't|can't|couldn't|shouldn't|won't|wouldn't|hasn't|haven't)"
ASKS = re.compile(
    rf"^(?:(?:and|but|so|then|ok|okay|well|hey|hi|hello|please|now|or|because|if so) )*"
    rf"(?:(?!have (?:it|this)\b){_AUX} (?:it"
    rf"|this|that|these|those"
    r"|there|the|a|an|i|we|you|he|she|they|my|our|your|any|anything|anyone)\b|(?:is|are|does|do|can|would"
    r"|will|should) no\b"
    r"|(?:what|what's|which|who|who's|whose|why|how|how's|where|where's|when)\b(?! left\b)(?! (?:i|we) (?:got"
    r"|checked|looked|found|arrived"
    r"|measured|came|pulled|opened|took))|any(?:thing|one|body)? (?:chance|idea|wrong)|am i\b"
    r"|tell me (?:if|whether|what|how)"
    r"|right\s*$|correct\s*$|ok\s*$|okay\s*$|yes or no|yeah\s*$|no\s*$)"
)
ASKS_WITHIN = re.compile(
    r"\b(?:i wonder|wondering|i'd like to know|want to know|wanna know|tell me (?:if|whether|what|how"
    r"|why)|(?:ask(?:s|ed|ing)?|wonder(?:s|ed)?"
    r"|(?<!n't )know|check|see|find out) (?:if|whether)|(?<!know )(?<!sure )(?<!tell )whether"
    r"|does that|is that (?:ok|okay|bad|fine|alright|all right|right|too"
    r"|enough|allowed|legal|safe)|would that|(?:should|can|may|do|could|would) (?:i|we|you|he|she|they)"
    r"|am i|what if|how about|what about|isn't it|aren't they"
    r"|doesn't it|(?:is|will|could|does|did|was) it|(?:is|are) (?:there|this|these|those|they)(?!'))\b"
)
#: A question of somebody else, told: what follows on it is none.
REPORTED = re.compile(
    r"^(?!(?:i|we|i'm|we're|is|do|does|should|can)\b)(?:\w+ ){1,5}"
    r"(?:asked|asks|asking|(?:wants|wanted|needs) to know|wonders|wondered)\b"
)
#: A tag, and no question about the thing itself.
TAGS = frozenset({"right", "correct", "ok", "okay", "yeah", "no", "yes", "isn't it", "aren't they", "doesn't it", "eh"})
#: An empty clause that begins so leaves in doubt what follows it: from what i gather, no bulge.
LEADING = frozenset(
    (
        "from", "far", "according", "as", "in", "per", "to", "by", "judging", "going", "at",
        "through", "with", "without",
        "before", "after", "when", "while", "until", "till", "since", "where", "wherever", "like",
        "yesterday", "last",
        "back", "once", "previously", "originally",
    )
)  # fmt: skip
SUPPOSED = re.compile(
    r"\b(?:if|unless|suppose|supposing|assuming|(?:as |so )?long as|provided|providing|had better"
    r"|better be|make sure"
    r"|make certain|making sure|ensure|i want|wish|in case|let's say|lets say|put down|were there"
    r"|should there|would|there'd)\b"
)
#: Another time, or another tire.
OTHER_TIME = re.compile(
    r"\b(?:yesterday|last (?:week|month|year|time|summer|winter|spring|fall|autumn|night|inspection|check"
    r"|visit|job|service)"
    r"|used to|back then|at the time|(?:when|while) (?:it|they|i|we|he|she) (?:was|were|bought|got|had)"
    r"|when new|originally"
    r"|earlier today|this morning|(?:week|weeks|month|months|year|years|days|day) ago|before the"
    r"|before it|before that"
    r"|before we|before i|at the last|previously|formerly|in the past|back when|until|till)\b"
)
OTHER_TIRE = re.compile(
    r"\b(?!(?:the )?other side (?:is |was )?(?:chafed|torn|kinked|bare|bent|burnt|chewed|ripped|scuffed))"
    r"(?:the other|other (?:tire|tyre|one|ones|side|wheel|steer|drive|dual|trailer|front|back|rear|two|three|four"
    r"|five)|(?:inside|inner|outside|outer|its) dual|the spare|spare (?:has"
    r"|is|tire|tyre)|its mate"
    r"|the mate|its twin|its partner|the last one|the left one|the right one|the front one|the rear one|the inner one"
    r"|the outer one|the next one|another (?:tire|tyre|one)|the others|the rest|neighbou?r|sister"
    r"|the new one|replacement"
    r"|the old one|previous one|the first one|the one (?:before|next|beside|behind)|(?:his|her"
    r"|their) (?:other|tire|tyre))\b"
)
#: Behind a denial these say that it no longer holds: until today, now there is one.
TURNED = re.compile(
    r"\b(?:until|till|up to) (?:now|today|yesterday|recently|lately|(?:this|last|i|we|he|she|it|they|the) \w+)\b"
    r"|\b(?:now|today) (?:there(?:'s| is| are)|it (?:has|does|is)|i (?:see|have|can see)|we (?:see|have|got)|yes)\b"
    r"|\b(?:there(?:'s| is| are)|it (?:has|does)|i see|we have) (?:one|some|a few|several)? ?(?:now|today)\b"
)
#: An answer that says that there is nothing says so with one of these.
NEGATIVE = frozenset(
    {"no", "not", "never", "none", "nothing", "without", "neither", "nor", "nil", "clean",
     "clear", "free", "zero", "nope",
     "nowt", "absent", "non"}
)  # fmt: skip
LOOKING = frozenset(
    {"looked", "checked", "inspected", "went", "walked", "felt", "searched", "probed", "examined",
     "ran", "look", "light",
     "flashlight", "torch", "checking", "looking", "inspection", "inspect"}
)  # fmt: skip
