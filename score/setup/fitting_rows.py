"""How each instrument is held or mounted, what that takes, how wide it is and where it is struck. Data only.

`fittings` reads it. Each row: key of the instrument; how it is held or mounted; what has to be carried for that
("" for nothing more than the instrument); width of one piece as it stands, mm (0: a keyboard, see `geometry`);
"set" where scores ask for several of different size, else "one"; where it is struck, a row of `STRUCK`; what strikes
it where the score does not say, with "!" where other mallets would not do.

Source of every row: common practice, no source; the widths are of usual sizes, a guess to be measured.

How: frame: on its own legs or frame; stand: on a stand made for it; clamp: clamped to a stand or rack; hung: hung from
one; table: lies on a padded table (trap table); held: in the hands, so that mallets have to be laid down;
seated: the player sits at it or on it; floor: stands on the floor; pedal: played with the foot; body: no instrument.
"""

FITTINGS = """
marimba; frame; ; 0; one; bars; keyboard mallets
bass-marimba; frame; ; 0; one; bars; large soft keyboard mallets!
vibraphone; frame; ; 0; one; bars; keyboard mallets
xylophone; frame; ; 0; one; bars; hard keyboard mallets
xylorimba; frame; ; 2000; one; bars; keyboard mallets
glockenspiel; stand; glockenspiel stand; 0; one; bars; hard plastic or brass mallets!
song-bells; stand; glockenspiel stand; 1000; one; bars; hard keyboard mallets
crotales; stand; crotale stand; 0; one; discs; hard plastic or brass mallets!
chimes; frame; ; 0; one; tubes; chime hammers!
timpani; frame; drum stool; 1500; one; timpani; timpani mallets!
celesta; seated; bench; 1200; one; keys; hands
steel-pan; stand; pan stand; 700; set; notes; pan mallets!
almglocken; hung; bell rack; 120; set; bells; medium keyboard mallets
handbells; table; trap table; 120; set; shaken; hands
tuned-gongs; hung; gong rack; 300; set; boss; gong mallets!
tubes; frame; ; 120; set; tube ends; paddles!
boobams; frame; ; 110; set; drum; soft rubber mallets or sticks
kalimba; held; ; 200; one; tongues; hands
musical-glasses; table; trap table; 100; set; glass; fingers
musical-saw; seated; chair; 300; one; saw; bow!
balafon; floor; ; 1000; one; bars; keyboard mallets
metallophone; frame; ; 1000; one; bars; hard keyboard mallets
cimbalom; frame; bench; 1300; one; strings; cimbalom hammers!
snare-drum; stand; snare drum stand; 360; one; drum; snare drum sticks
tenor-drum; stand; drum stand; 400; one; drum; sticks
bass-drum; frame; ; 1000; one; large drum; bass drum beaters!
tom-toms; stand; tom stand; 380; set; drum; sticks
rototoms; stand; rototom stand; 300; set; drum; sticks
bongos; stand; bongo stand; 220; set; hand drum; hands or sticks
congas; stand; conga stand; 350; set; hand drum; hands
timbales; stand; timbale stand; 360; set; drum; timbale sticks
tambourine; held; ; 300; one; tambourine; hands
frame-drum; held; ; 450; one; hand drum; hands
cajon; seated; ; 350; one; box; hands
djembe; stand; djembe stand; 400; one; hand drum; hands
darabuka; seated; chair; 300; one; hand drum; hands
tabla; floor; rings and cushion; 300; set; hand drum; hands
taiko; stand; taiko stand; 500; set; drum; taiko sticks!
log-drum; table; trap table; 500; set; tongues; rubber mallets
udu; seated; chair; 350; one; hand drum; hands
surdo; stand; drum stand; 500; one; large drum; surdo beater
cuica; held; ; 300; one; rubbed; damp cloth!
drum-set; seated; drum stool; 1800; one; drum; sticks
suspended-cymbal; stand; cymbal stand; 450; set; cymbal; sticks or soft mallets
crash-cymbals; held; cymbal cradle; 450; one; pair; hands
ride-cymbal; stand; cymbal stand; 500; one; cymbal; sticks
splash-cymbal; stand; cymbal stand; 280; one; cymbal; sticks
china-cymbal; stand; cymbal stand; 450; one; cymbal; sticks
sizzle-cymbal; stand; cymbal stand; 500; one; cymbal; soft mallets
finger-cymbals; held; ; 100; one; pair; hands
hi-hat; pedal; hi-hat stand; 380; one; cymbal; sticks
tam-tam; hung; tam-tam stand; 1000; one; tam-tam; tam-tam beater!
gong; hung; gong stand; 800; set; boss; gong mallet!
triangle; hung; triangle clip and stand; 250; set; triangle; triangle beaters!
cowbell; clamp; clamp; 150; set; bells; sticks
agogo; clamp; clamp; 150; set; bells; sticks
anvil; table; trap table; 400; one; plate; hammer!
brake-drum; table; trap table; 300; set; plate; hammers or sticks
metal-pipe; hung; rack; 120; set; tubes; hammers or sticks
metal-plate; hung; rack; 400; set; plate; hard mallets
sleigh-bells; held; ; 250; one; shaken; hands
mark-tree; hung; mark tree stand; 600; one; swept; hands or a triangle beater
wind-chimes; hung; rack; 300; one; swept; hands
bell-tree; hung; cymbal stand; 200; one; swept; brass mallet or triangle beater
singing-bowl; table; trap table; 200; set; bowl; bowl mallet!
church-bells; hung; bell rack; 600; set; bells; chime hammers!
thundersheet; hung; rack; 900; one; plate; soft mallets or hands
flexatone; held; ; 150; one; shaken; hands
waterphone; held; ; 300; one; rods; bow or mallets!
tin-cans; table; trap table; 120; set; plate; sticks
bottles; table; trap table; 100; set; glass; mallets
flower-pots; hung; rack; 200; set; glass; mallets
wood-block; clamp; clamp; 250; set; block; rubber mallets or sticks
temple-blocks; stand; temple block stand; 180; set; block; rubber mallets
claves; held; ; 200; one; pair; hands
castanets; held; ; 150; one; pair; hands
guiro; held; ; 350; one; scraped; scraper!
slapstick; held; ; 400; one; pair; hands
ratchet; clamp; clamp; 250; one; cranked; hands
sandpaper-blocks; held; ; 200; one; pair; hands
log; hung; rack; 1500; one; plate; wooden hammers!
bones; held; ; 100; one; pair; hands
hammer; floor; wooden box; 600; one; plate; large wooden hammer!
maracas; held; ; 200; one; shaken; hands
shaker; held; ; 150; one; shaken; hands
cabasa; held; ; 200; one; shaken; hands
caxixi; held; ; 150; one; shaken; hands
rainstick; held; ; 600; one; shaken; hands
vibraslap; held; ; 250; one; slapped; hands
jawbone; held; ; 250; one; slapped; hands
rattle; held; ; 200; one; shaken; hands
hand-claps; body; ; 0; one; body; hands
foot-stamps; body; ; 0; one; body; feet
finger-snaps; body; ; 0; one; body; hands
siren; held; ; 250; one; cranked; hands
lions-roar; frame; ; 400; one; rubbed; damp cloth!
wind-machine; frame; ; 700; one; cranked; hands
whistle; held; ; 80; one; blown; hands
slide-whistle; held; ; 100; one; blown; hands
bird-call; held; ; 80; one; blown; hands
"""

# Where instruments of a kind are struck: the usual place first. Source: common practice, no source; nodes of a bar
# 0.2242 of its length from each end (computed; textbook value), so its edge is struck outside the node.
STRUCK = {
    "bars": ("just off the centre, over the resonator", "centre", "edge, outside the cord", "at the node (thin)"),
    "discs": ("near the edge", "edge, with a bow"),
    "tubes": ("top edge, on the cap", "side"),
    "timpani": ("about a quarter of the way in from the rim", "centre (dry)", "rim"),
    "keys": ("keys",),
    "notes": ("middle of the note",),
    "bells": ("near the mouth", "body", "flat side"),
    "shaken": ("shaken", "struck with the hand"),
    "boss": ("boss", "rim"),
    "tube ends": ("open end, flat",),
    "tongues": ("end of the tongue",),
    "glass": ("rim", "body"),
    "saw": ("edge, with a bow", "flat side"),
    "strings": ("a few centimetres from the bridge",),
    "drum": ("off the centre", "centre (dry)", "edge", "rim", "rim shot", "cross stick", "shell"),
    "large drum": ("off the centre, about a third in from the rim", "centre (short)", "edge", "rim", "shell"),
    "hand drum": ("edge (open)", "centre (low)", "slap", "rim"),
    "tambourine": ("off the centre", "edge", "rim", "shaken", "thumb roll at the edge"),
    "box": ("middle of the face (low)", "upper edge (high)"),
    "rubbed": ("stick or cord rubbed",),
    "cymbal": ("edge", "between edge and dome", "dome", "edge, with a bow"),
    "pair": ("against each other",),
    "tam-tam": ("off the centre", "centre", "edge", "scraped"),
    "triangle": ("closed side, opposite the opening", "bottom side", "corner (roll)"),
    "plate": ("off the centre", "edge"),
    "swept": ("swept with a finger or beater",),
    "bowl": ("outer rim", "rubbed round the rim"),
    "rods": ("rods, with a bow", "rods, struck"),
    "block": ("top, over the slit near the middle", "edge"),
    "scraped": ("scraped",),
    "slapped": ("ball against the hand",),
    "cranked": ("turned",),
    "body": ("body",),
    "blown": ("blown",),
}
