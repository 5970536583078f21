"""The percussion instruments by name, as scores print them. Data only; `score.instruments.percussion` reads it.

Each row: key; English name; further names in English, German, French and Italian with plurals and the
usual abbreviations, separated by commas, without accents, dots or hyphens (spelling is folded before it
is compared); MusicXML sound id; octaves by which it sounds above the written pitch, "-" when unpitched;
General MIDI percussion key from 0, "-" where General MIDI has none. Indented lines go on with the row.

Sources: sound ids: MusicXML 4.0, sounds.xml. General MIDI keys: General MIDI level 1 and 2 percussion map.
Octaves: common practice (xylophone one, glockenspiel and crotales two). Names: common practice, no source.
"""

ROWS = """
marimba; Marimba; marimbas, marimbaphone, marimbaphon, marimbafono, mar, mba, mrb, mrmb, marimb, concert marimba;
    pitched-percussion.marimba; 0; -
bass-marimba; Bass marimba; bass marimbas, bassmarimba, marimba basse, marimba bassa, b mar, bs mar;
    pitched-percussion.marimba.bass; 0; -
vibraphone; Vibraphone; vibraphones, vibes, vibraphon, vibraphons, vibraphonen, vibrafono, vibrafoni, vib, vibe,
    vibr, vbp, vph, vphn, vibraharp, vibraharfe; pitched-percussion.vibraphone; 0; -
xylophone; Xylophone; xylophones, xylophon, xylophone aigu, xilofono, xilofoni, silofono, xyl, xylo, xyloph, xil,
    silof, xilifono, strohfiedel; pitched-percussion.xylophone; 1; -
xylorimba; Xylorimba; xylorimbas, xilorimba, xylomarimba, xylor; pitched-percussion.xylorimba; 0; -
glockenspiel; Glockenspiel; glockenspiels, glockenspiele, orchestra bells, orch bells, bells, jeu de timbres, jeux
    de timbres, campanelli, glock, glsp, gsp, glk, glkspl, gls, campli, jdt, bell lyre, glck, lyra, jeu de
    clochettes; pitched-percussion.glockenspiel; 2; -
song-bells; Song bells; songbells; pitched-percussion.metallophone; 1; -
crotales; Crotales; crotale, crotal, crotali, crotalo, antique cymbals, antique cymbal, ant cym, cymbales antiques,
    cymbale antique, zimbeln, antike zimbeln, cimbalini, cimbali antichi, crot, crt, crotl; metal.crotales; 2; -
chimes; Tubular bells; tubular bell, chimes, chime, orchestral chimes, rohrenglocken, rohrenglocke, roehrenglocken,
    glocken, cloches, cloches tubes, cloches tubulaires, campane, campane tubolari, campana, tub bells, t bells, tub
    b, tbells, rgl, rglk, chm, campane tubulari, cloches tubolaires; pitched-percussion.tubular-bells; 0; -
timpani; Timpani; timp, kettledrum, kettledrums, kettle drums, pauken, pauke, timbales d'orchestre, timbales
    chromatiques, timpano, timpo, pk, timballi, timballo, tympani, kesselpauke, kesselpauken; drum.timpani; 0; -
celesta; Celesta; celeste, cel, celesta; keyboard.celesta; 1; -
steel-pan; Steel pan; steel pans, steel drum, steel drums, steelpan, steelpans, stahltrommel, stahltrommeln, st dr,
    steeldrum, pan, pans; metal.steel-drums; 0; -
almglocken; Almglocken; almglocke, alpine bells, tuned cowbells, alpenglocken, cloches de vache accordees,
    herdenglocken, almgl; metal.bells.almglocken; 0; -
handbells; Handbells; handbell, hand bells, handglocken, hbells, clochettes, campanelli a mano;
    pitched-percussion.handbells; 1; -
tuned-gongs; Tuned gongs; tuned gong, button gongs, gongspiel, buckelgongs, nipple gongs, thai gongs, gongs
    accordes; metal.gong.thai; 0; -
tubes; Tuned tubes; tubes, tuned tube, pvc tubes, pvc tube, pipes, tuned pipes, tuned pvc tubes, rohren, tubi, tubes
    accordes; pitched-percussion.tubes; 0; -
boobams; Boobams; boobam, boo bams, boo bam, boombams, bamboo drums, bamboo drum, tube drums, tube drum, tuned
    drum tubes, drum tubes, bambustrommeln, rohrentrommeln; ; 0; -
kalimba; Kalimba; kalimbas, mbira, sanza, thumb piano, kal; pitched-percussion.kalimba; 0; -
musical-glasses; Musical glasses; crystal glasses, glasses, wine glasses, tuned glasses, glaser, verres, bicchieri;
    pitched-percussion.crystal-glasses; 0; -
musical-saw; Musical saw; saw, singende sage, scie musicale, sega; metal.musical-saw; 0; -
balafon; Balafon; balafons, bala; pitched-percussion.balafon; 0; -
metallophone; Metallophone; metallophones, metallophon, metallofono; pitched-percussion.metallophone; 0; -
cimbalom; Cimbalom; zymbal, cimb; pitched-percussion.cimbalom; 0; -
snare-drum; Snare drum; snare drums, snare, snares, side drum, side drums, sd, s d, sn dr, sn, snr, s dr, kleine
    trommel, kl tr, kltr, kl trommel, caisse claire, caisses claires, c cl, cc, tamburo, tamburo militare, tamb mil,
    cassa chiara, military drum, field drum, ruhrtrommel mit schnarrsaite, militartrommel, tambour, piccolo snare,
    rullante, marschtrommel, leinentrommel, schnarrtrommel, c c; drum.snare-drum; -; 38
tenor-drum; Tenor drum; tenor drums, td, t d, t dr, ten dr, ruhrtrommel, wirbeltrommel, caisse roulante, tamburo
    rullante, cassa rullante, tenortrommel; drum.tenor-drum; -; -
bass-drum; Bass drum; bass drums, concert bass drum, bd, b d, b dr, bs dr, grosse trommel, gr tr, grtr, gr trommel,
    grosse caisse, grosses caisses, gr c, gr caisse, g c, gc, gran cassa, gran casse, grancassa, cassa, kick, kick
    drum, pedal bass drum, gr cassa, tamburo grosso, tamburo grande, turkish drum; drum.bass-drum; -; 35
tom-toms; Tom-toms; tom tom, tom toms, toms, tom, tomtom, tomtoms, concert toms, floor tom, tt toms; drum.tom-tom;
    -; 47
rototoms; Rototoms; rototom, roto toms, roto tom; drum.rototom; -; -
bongos; Bongos; bongo, bongo drums, bongo drum, bgo, bgos, bgs, bonghi, bgo dr, bongo trommeln, bongo trommel;
    drum.bongo; -; 60
congas; Congas; conga, conga drum, conga drums, tumba, tumbas, cga, cgs, cga dr, conga trommel, conga trommeln,
    tumbadora, tumbadoras; drum.conga; -; 63
timbales; Timbales; timbale, timbales latines, timbales cubaines, timbales creoles, pailas; drum.timbale; -; 65
tambourine; Tambourine; tambourines, tamb, tambn, tmbn, tamburin, schellentrommel, schtr, tambour de basque,
    tamburello, tamburo basco, tamburino; drum.tambourine; -; 54
frame-drum; Frame drum; frame drums, rahmentrommel, bendir, bodhran, tambour sur cadre, tamburo a cornice;
    drum.frame-drum; -; -
cajon; Cajon; cajons, caj; drum.cajon; -; -
djembe; Djembe; djembes, djembe drum; drum.djembe; -; -
darabuka; Darabuka; darbuka, doumbek, dumbek, darabukka; drum.darabuka; -; -
tabla; Tabla; tablas; drum.tabla; -; -
taiko; Taiko; taikos, o daiko, daiko; drum.taiko; -; -
log-drum; Log drum; log drums, slit drum, slit drums, schlitztrommel, schlitztrommeln, tambour de bois, tamburo di
    legno, slit dr; drum.log-drum; -; -
udu; Udu; udu drum; drum.udu; -; -
surdo; Surdo; surdos; drum.surdo; -; 87
cuica; Cuica; cuicas; drum.cuica; -; 79
drum-set; Drum set; drumset, drum kit, drumkit, drums, kit, dr, schlagzeug, batterie, batteria; drum.group.set; -; -
suspended-cymbal; Suspended cymbal; suspended cymbals, susp cym, sus cym, s cym, sc, susp cymb, susp c, susp, susp
    cymbal, sus cymbal, hangebecken, hangendes becken, becken hangend, hgb, cymbale suspendue, cymb susp, cymbales
    suspendues, cymb s, piatto sospeso, piatti sospesi, ptto sosp, p sosp, becken freihangend, becken aufgehangt;
    metal.cymbal.suspended; -; -
crash-cymbals; Crash cymbals; clash cymbals, cymbals, cymbal, cym, cymb, cyms, crash cymbal, crash, cr cym, a2
    cymbals, pair of cymbals, hand cymbals, becken, beckenpaar, bck, cymbales, cymbale, piatti, piatto, ptti, pti,
    cinelli, crashbecken, crash becken, becken paar; metal.cymbal.crash; -; 49
ride-cymbal; Ride cymbal; ride, ride cymbals, ride cym; metal.cymbal.ride; -; 51
splash-cymbal; Splash cymbal; splash, splash cymbals, splash cym; metal.cymbal.splash; -; 55
china-cymbal; China cymbal; chinese cymbal, chinese cymbals, china, china cym, chinabecken, chinesisches becken,
    cymbale chinoise, piatto cinese; metal.cymbal.chinese; -; 52
sizzle-cymbal; Sizzle cymbal; sizzle, sizzle cym, nietenbecken, cymbale sur tiges, cymbale cloutee, piatto chiodato;
    metal.cymbal.sizzle; -; -
finger-cymbals; Finger cymbals; finger cymbal, fing cym, f cym, fingerzimbeln, cymbales digitales, cymbales a
    doigts, cimbalini a dita, zills, zill, zils; metal.cymbal.finger; -; -
hi-hat; Hi-hat; hi hat, hi hats, hihat, hihats, hh, h h, high hat, charleston, charley, hi hat cymbal, hi hat
    cymbals, hi hat becken, fussbecken, piatti a pedale, cymbale a pedale; metal.hi-hat; -; 46
tam-tam; Tam-tam; tam tam, tam tams, tamtam, tamtams, tt, t t, tam t, tam; metal.tamtam; -; -
gong; Gong; gongs, gng, opera gong, opera gongs, chinese gong, wassergong, water gong; metal.gong; -; -
triangle; Triangle; triangles, tri, trgl, trg, triang, trng, triangel, triangeln, triangolo, triangoli, trgolo;
    metal.triangle; -; 81
cowbell; Cowbell; cowbells, cow bell, cow bells, cwb, cb, kuhglocke, kuhglocken, cloche de vache, cloches de vache,
    cencerro, cencerros, campanaccio, campanacci, campana da pastore, viehschelle, viehschellen, cloches a vache,
    cloche a vache, sonnailles; metal.bells.cowbell; -; 56
agogo; Agogo bells; agogo, agogos, agogo bell; metal.bells.agogo; -; 67
anvil; Anvil; anvils, amboss, ambosse, enclume, enclumes, incudine; metal.anvil; -; -
brake-drum; Brake drum; brake drums, br dr, bremstrommel, bremstrommeln, tambour de frein, tambours de frein,
    tamburo del freno; metal.brake-drums; -; -
metal-pipe; Metal pipe; metal pipes, metallrohr, metallrohre, tuyau de metal, tubo metallico; ; -; -
metal-plate; Metal plate; metal plates, bell plate, bell plates, plattenglocken, plaque de metal, metallplatte;
    metal.bells.bell-plate; -; -
sleigh-bells; Sleigh bells; sleigh bell, sleighbells, slgh bl, sl bells, jingle bells, schellen, schellenbaum,
    grelots, sonagli, sonagliera; metal.bells.sleigh-bells; -; 83
mark-tree; Mark tree; marktree, bar chimes, bell bar chimes, mk tree; metal.bells.mark-tree; -; 84
wind-chimes; Wind chimes; windchimes, wind chime, glass chimes, glass wind chimes, bamboo chimes, bamboo wind
    chimes, shell chimes, shell wind chimes, metal wind chimes, wood chimes, windspiel, bambuswindspiel,
    glaswindspiel, carillon eolien, w ch; metal.bells.wind-chimes; -; -
bell-tree; Bell tree; belltree, schellenbaum gestimmt, glockenbaum; metal.bells.bell-tree; -; -
singing-bowl; Singing bowl; singing bowls, temple bowl, temple bowls, prayer bowl, prayer bowls, rin, klangschale,
    klangschalen, bol chantant, bols chantants, campana tibetana; metal.singing-bowl; -; -
church-bells; Church bells; church bell, kirchenglocke, kirchenglocken, cloche d'eglise; metal.bells.church; -; -
thundersheet; Thunder sheet; thundersheet, thunder sheets, donnerblech, plaque de tonnerre, feuille de tonnerre,
    lastra del tuono, lastra; metal.thundersheet; -; -
flexatone; Flexatone; flexatones, flexaton, flessatono, flex; metal.flexatone; -; -
waterphone; Waterphone; waterphones; ; -; -
tin-cans; Tin cans; tin can, cans, blechdosen, konservendosen, boites de conserve; ; -; -
bottles; Bottles; bottle, flaschen, bouteilles, bottiglie; ; -; -
flower-pots; Flower pots; flower pot, flowerpots, blumentopfe, pots de fleurs; ; -; -
wood-block; Wood block; wood blocks, woodblock, woodblocks, wb, w b, wbl, wd bl, wdbl, w bl, wdblk, holzblock,
    holzblocke, hbl, bloc de bois, blocs de bois, wood bl, blocco di legno, blocchi di legno, cassettina di legno,
    wood bloc, blocco di legno cinese; wood.wood-block; -; 76
temple-blocks; Temple blocks; temple block, templeblock, templeblocks, tbl, t bl, temp bl, t blks, tempelblock,
    tempelblocke, temple bl, blocs chinois, bloc chinois, blocchi cinesi, blocco cinese, tempel block, temple bloc;
    wood.temple-block; -; -
claves; Claves; clave, clv, klangstabe, legnetti; wood.claves; -; 75
castanets; Castanets; castanet, cast, kastagnetten, kast, castagnettes, castagnette, nacchere, cas, casts, kas;
    wood.castanets; -; 85
guiro; Guiro; guiros, gro, reco reco, gurke, rape guero; wood.guiro; -; 74
slapstick; Whip; slapstick, slap stick, whips, peitsche, peitschen, fouet, fouets, frusta, fruste, wh, holzklapper;
    effect.whip; -; -
ratchet; Ratchet; ratchets, ratsche, ratschen, crecelle, crecelles, raganella, ratc, rtc, knarre, schnarre,
    cricchetto, rtsch; rattle.ratchet; -; -
sandpaper-blocks; Sandpaper blocks; sandpaper block, sand blocks, sand block, sand bl, sandblocke, sandpapier,
    papier de verre, blocs de sable, ceppi di carta vetro, sandpapier blocke, carta vetrata; wood.sand-block; -; -
log; Wooden plank; planks, wood plank, wooden planks, simantra, simantras, holzbrett, holzbretter; ; -; -
bones; Bones; spoons, bone, loffel, cuilleres; wood.bones; -; -
hammer; Hammer blow; wooden hammer, hammerschlag, hammer strokes, coup de marteau, colpo di martello; ; -; -
maracas; Maracas; maraca, mrcs, mar'cas, rumbakugeln, rumbakugel, mcs; rattle.maraca; -; 70
shaker; Shaker; shakers, egg shaker, egg shakers, shk, shkr, schuttelrohr; rattle.shaker; -; 82
cabasa; Cabasa; cabasas, afuche, afoxe, cbs; rattle.cabasa; -; 69
caxixi; Caxixi; caxixis; rattle.caxixi; -; -
rainstick; Rain stick; rainstick, rainsticks, rain sticks, regenrohr, baton de pluie, bastone della pioggia;
    rattle.rain-stick; -; -
vibraslap; Vibraslap; vibraslaps, vib slap, vbslp, vsl, quijada; rattle.vibraslap; -; 58
jawbone; Jawbone; jaw bone; rattle.jawbone; -; -
rattle; Rattle; rattles, rassel, rasseln, hochet, sonaglio; rattle.rattle; -; -
hand-claps; Hand clap; claps, hand claps, clap, clapping, handeklatschen, klatschen, mains, battre des mains,
    battito di mani, hands clapping; effect.hand-clap; -; 39
foot-stamps; Foot stamp; foot stamps, stamp, stamps, stomp, stomps, foot stomp, fussstampfen, pied; effect.stamp; -;
    -
finger-snaps; Finger snaps; finger snap, snap, snaps, fingerschnippen, claquement de doigts; effect.snap; -; -
siren; Siren; sirens, sirene, sirenen, sirenes, sirena; effect.siren; -; -
lions-roar; Lion's roar; lions roar, string drum, lowengebrull, tambour a corde, ruggito di leone;
    effect.lions-roar; -; -
wind-machine; Wind machine; wind machines, windmaschine, eoliphone, macchina del vento, wind mach, eolifono,
    aeolophon, machine a vent; effect.wind; -; -
whistle; Whistle; whistles, police whistle, trillerpfeife, sifflet, fischietto; effect.whistle; -; 71
slide-whistle; Slide whistle; slide whistles, swanee whistle, lotosflote, flute a coulisse; effect.whistle.slide; -;
    -
bird-call; Bird call; bird calls, bird whistle, vogelpfeife, appeau, appeaux, richiamo; effect.bird; -; -
"""
