"""The look: where things stand and how words are marked. Every mark is also a word or a sign, never colour alone."""

#: From this width the side view is shown, from the next it is wider; below the height the screen makes do with less.
WIDE, WIDER, WIDEST, TALL = 110, 130, 180, 16

CSS = """
TalkScreen { layout: vertical; }
#body { layout: horizontal; height: 1fr; min-height: 3; }
#main { layout: vertical; width: 1fr; height: 100%; }
#talk { width: 100%; height: 1fr; padding: 0; }
#panel { width: 100%; height: 3; border: round $text-accent; border-bottom: none; border-title-style: bold; }
#standing { height: 1; width: 100%; color: $text-accent; }
#panel.-repair { border: round $text-success; border-bottom: none; }
#panel.-hold { border: round $text-warning; border-bottom: none; }
#panel.-scrap { border: round $text-error; border-bottom: none; }
#standing.-repair { color: $text-success; }
#standing.-hold { color: $text-warning; }
#standing.-scrap { color: $text-error; }
#side { display: none; width: 40; height: 100%; border: round $foreground 40%; padding: 0; }
TalkScreen.-wide #side { display: block; }
TalkScreen.-wider #side { display: block; width: 52; }
TalkScreen.-wide.-drawn #side { width: 54; }
TalkScreen.-wider.-drawn #side { width: 66; }
TalkScreen.-widest #side { display: block; width: 76; }
#entry { layout: horizontal; height: 1; }
#sign { width: 2; height: 1; color: $text-accent; text-style: bold; }
#line { width: 1fr; height: 1; background: $background; }
#line:focus { background: $background; background-tint: $foreground 0%; }
#line > .input--placeholder { color: $foreground 60%; }
#line > .input--cursor { background: $background; color: $foreground; text-style: reverse; }
#complaint { height: 1; max-height: 4; color: $text-error; text-style: bold; }
#keys { height: 1; background: $surface; color: $foreground; }
#keys > .keys--key { color: $text-accent; text-style: bold; }
TalkScreen.-tiny #keys { max-height: 1; }
TalkScreen.-tiny #line > .input--cursor { background: $background; color: $foreground; text-style: reverse; }
TalkScreen.-tiny #complaint { max-height: 2; }
LinesView > .lines--ask { text-style: bold; }
LinesView > .lines--number { color: $text-accent; text-style: bold; }
LinesView > .lines--at { text-style: reverse bold; }
LinesView > .lines--drawing { color: $foreground; }
LinesView > .lines--row { color: $foreground; }
LinesView > .lines--key { color: $text-accent; text-style: bold; }
LinesView > .lines--label { color: $text-accent; }
LinesView > .lines--quiet { color: $foreground 75%; }
LinesView > .lines--note { text-style: italic; }
LinesView > .lines--said { color: $text-primary; text-style: bold; }
LinesView > .lines--strong { text-style: bold; }
LinesView > .lines--title { color: $text-accent; text-style: bold; }
LinesView > .lines--wrong { color: $text-error; text-style: bold; }
LinesView > .lines--sign-repair { color: $text-success; text-style: reverse bold; }
LinesView > .lines--sign-refer { color: $text-accent; text-style: reverse bold; }
LinesView > .lines--sign-hold { color: $text-warning; text-style: reverse bold; }
LinesView > .lines--sign-scrap { color: $text-error; text-style: reverse bold; }
LinesView > .lines--bar { color: $foreground 25%; }
LinesView > .lines--thumb { color: $foreground 60%; }
"""
