"""What General MIDI calls programs and percussion keys, in plain words. Data only.

Source: General MIDI level 1, sound set and percussion map; adjectives that no page would print are left out ("Acoustic
Grand Piano" is a piano, "Acoustic Snare" a snare drum). Both are counted from 0, as they are sent.
"""

# fmt: off
PROGRAM_TITLES = (
    "Piano", "Piano", "Piano", "Piano", "Electric piano", "Electric piano", "Harpsichord", "Clavinet",
    "Celesta", "Glockenspiel", "Music box", "Vibraphone", "Marimba", "Xylophone", "Tubular bells", "Dulcimer",
    "Organ", "Organ", "Organ", "Organ", "Organ", "Accordion", "Harmonica", "Accordion",
    "Guitar", "Guitar", "Guitar", "Guitar", "Guitar", "Guitar", "Guitar", "Guitar",
    "Bass", "Electric bass", "Electric bass", "Bass", "Bass", "Bass", "Bass", "Bass",
    "Violin", "Viola", "Cello", "Contrabass", "Strings", "Strings", "Harp", "Timpani",
    "Strings", "Strings", "Strings", "Strings", "Choir", "Voice", "Choir", "Orchestra hit",
    "Trumpet", "Trombone", "Tuba", "Trumpet", "Horn", "Brass", "Brass", "Brass",
    "Soprano sax", "Alto sax", "Tenor sax", "Baritone sax", "Oboe", "English horn", "Bassoon", "Clarinet",
    "Piccolo", "Flute", "Recorder", "Pan flute", "Blown bottle", "Shakuhachi", "Whistle", "Ocarina",
    *("Synthesizer",) * 8,
    *("Synthesizer",) * 8,
    *("Synthesizer",) * 8,
    "Sitar", "Banjo", "Shamisen", "Koto", "Kalimba", "Bagpipe", "Fiddle", "Shanai",
    "Tinkle bell", "Agogo", "Steel drums", "Woodblock", "Taiko drum", "Melodic tom", "Synth drum",
    *("Sound effect",) * 9,
)

KEY_TITLES = {
    35: "Bass drum", 36: "Bass drum", 37: "Side stick", 38: "Snare drum",
    39: "Hand clap", 40: "Electric snare", 41: "Low floor tom", 42: "Closed hi-hat",
    43: "High floor tom", 44: "Pedal hi-hat", 45: "Low tom", 46: "Open hi-hat",
    47: "Low-mid tom", 48: "High-mid tom", 49: "Crash cymbal", 50: "High tom",
    51: "Ride cymbal", 52: "Chinese cymbal", 53: "Ride bell", 54: "Tambourine",
    55: "Splash cymbal", 56: "Cowbell", 57: "Crash cymbal", 58: "Vibraslap",
    59: "Ride cymbal", 60: "High bongo", 61: "Low bongo", 62: "Mute high conga",
    63: "Open high conga", 64: "Low conga", 65: "High timbale", 66: "Low timbale",
    67: "High agogo", 68: "Low agogo", 69: "Cabasa", 70: "Maracas",
    71: "Short whistle", 72: "Long whistle", 73: "Short guiro", 74: "Long guiro",
    75: "Claves", 76: "High wood block", 77: "Low wood block", 78: "Mute cuica",
    79: "Open cuica", 80: "Mute triangle", 81: "Open triangle",
}
# fmt: on
