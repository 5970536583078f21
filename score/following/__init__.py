"""The others follow a player: strokes and seconds in, everybody else's time out. No device, no clock of its own."""
