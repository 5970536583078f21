"""What moving an instrument takes. Data only; `moving` reads it and the concert's file changes any figure.

Each row: key of the instrument; weight of one as it stands, kg; carriers it takes; seconds to free it and to set its
brakes where it rolls (0: it is carried); seconds to pick it up and to set it down; seconds to build it up out of its
cases; cases it packs into, below 1 where several go into one. Rows that begin with "how:" are for every instrument
of the table of instruments that has no row of its own, by how it is held or mounted.

Source of every row: common practice, a guess from usual sizes, to be weighed and timed.
"""

MOVING = """
marimba; 90; 2; 15; 40; 900; 6
bass-marimba; 110; 3; 20; 60; 1200; 7
vibraphone; 60; 2; 15; 30; 600; 4
xylophone; 32; 2; 10; 25; 360; 3
xylorimba; 55; 2; 15; 30; 600; 4
glockenspiel; 14; 1; 0; 15; 120; 1
song-bells; 20; 1; 0; 15; 120; 1
crotales; 16; 1; 0; 15; 240; 1
chimes; 75; 2; 20; 45; 600; 3
timpani; 140; 2; 40; 120; 600; 4
celesta; 120; 3; 20; 90; 300; 1
steel-pan; 12; 1; 0; 15; 120; 1
almglocken; 25; 2; 0; 30; 600; 2
handbells; 10; 1; 0; 30; 180; 1
tuned-gongs; 60; 2; 0; 60; 900; 4
tubes; 40; 2; 20; 40; 900; 3
boobams; 30; 2; 0; 30; 600; 2
balafon; 18; 1; 0; 15; 60; 1
metallophone; 30; 2; 0; 20; 120; 1
cimbalom; 90; 3; 20; 90; 600; 2
bass-drum; 45; 2; 10; 30; 180; 1
drum-set; 50; 2; 0; 240; 900; 4
congas; 13; 1; 0; 10; 60; 1
taiko; 40; 2; 0; 30; 300; 1
surdo; 12; 1; 0; 10; 60; 1
cajon; 6; 1; 0; 5; 5; 1
tam-tam; 30; 2; 10; 40; 240; 2
gong; 15; 1; 0; 20; 180; 1
mark-tree; 4; 1; 0; 10; 90; 0.5
temple-blocks; 8; 1; 0; 10; 120; 0.5
brake-drum; 8; 1; 0; 10; 30; 0.25
anvil; 25; 1; 0; 20; 60; 1
church-bells; 60; 3; 0; 120; 900; 3
thundersheet; 12; 2; 0; 30; 240; 1
log; 25; 2; 0; 40; 300; 1
hammer; 20; 1; 0; 20; 60; 1
wind-machine; 30; 2; 0; 30; 120; 1
lions-roar; 10; 1; 0; 10; 60; 1
how:frame; 40; 2; 15; 30; 300; 2
how:stand; 7; 1; 0; 8; 75; 0.5
how:clamp; 1; 1; 0; 6; 30; 0.1
how:hung; 6; 1; 0; 12; 90; 0.5
how:table; 3; 1; 0; 8; 20; 0.2
how:held; 1; 1; 0; 4; 10; 0.1
how:seated; 6; 1; 0; 10; 30; 0.5
how:floor; 6; 1; 0; 8; 30; 0.5
how:pedal; 8; 1; 0; 10; 75; 0.5
how:body; 0; 0; 0; 0; 0; 0
trap table; 5; 1; 0; 8; 60; 0.25
stand; 4; 1; 0; 6; 30; 0.25
mallets; 0.5; 1; 0; 2; 0; 0.1
"""
