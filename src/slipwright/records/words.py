"""The words a record may use: every closed list of the tables, once.

Trade words or open standards; ``docs/glossary.md`` explains them.
"""

WOODS = ("softwood", "semi-hardwood", "hardwood")
CUTTINGS = ("piece", "tip", "heel", "mallet", "single-node")
SHOOTS = ("vegetative", "budded", "flowering", "spent")
PARTS = ("upper", "middle", "lower", "mixed")
LEAVES = ("kept", "reduced", "none")
STORED = ("no", "damp-bag", "cool", "heeled-in")
WOUNDS = ("no", "yes")
AUXINS = ("none", "iba", "naa", "k-iba", "k-naa")
AUXIN_FORMS = ("quick-dip", "soak", "talc", "gel")
COVERS = ("mist", "tent", "open")
PLACE_KINDS = ("bench", "frame", "shelf", "nursery")
READY_AS = ("rooted", "potted", "weaned", "established", "finished")
RIGHTS = ("none", "unknown", "protected", "licensed")
FLOWERS = ("once", "repeat")
LEAF_HABITS = ("deciduous", "semi-evergreen", "evergreen")
ROLES = ("owner", "grower", "volunteer", "reader")
UNITS = ("metric", "us")
CAUSES = (
    "rot-from-base",
    "dieback-from-top",
    "dried",
    "scorched",
    "frost",
    "mould",
    "pest",
    "disturbed",
    "given-up",
    "unknown",
)
SIGNS = ("new-leaf", "leaf-drop", "callus", "roots-at-holes", "not-ready")
POT_WEIGHTS = ("same", "lighter")
FATES = ("planted", "given", "sold", "kept-as-stock", "discarded")
ACTS = (
    "cut-back",
    "deadhead",
    "feed",
    "water",
    "re-wet",
    "shade",
    "unshade",
    "loosen-cover",
    "uncover",
    "move",
    "pinch",
    "pot-on",
    "protect-from-frost",
    "spray",
    "clean",
)
BEDS_SEEN = ("leaves-dry", "medium-soggy")
#: On what ground an act with a protected plant that is already done may be written down.
GROUNDS = ("licence", "private-use", "experiment", "expired", "other")
#: What a code that lets in once is for.
CODE_PURPOSES = ("set-up", "sign-in", "pair")
#: What the door's book tells of.
DOOR_EVENTS = (
    "signed-in",
    "wrong-password",
    "let-in",
    "signed-out",
    "phone-let-in",
    "phone-let-out",
    "password",
    "member",
    "token",
    "tables-out",
    "backup",
    "restored",
)
#: What a person made of an entry that was kept aside.
SETTLED_AS = ("dropped", "recorded", "replaced")
