"""Tubes cut to pitch: acoustics, a fit to measured tubes, a cut list, a frame, a sheet for the workshop.

Lengths are millimetres throughout this room, frequencies hertz, temperatures degrees Celsius, speeds metres
a second. The way through it: `wanted_notes.wanted_notes` and `measured_tubes.read_measured` read what the builder says,
`tube_lengths.tube_set` gives the tubes, `cutting.cut_list.cut_plan` the sticks, `frame.frame_of` the plate,
`sheet.workshop_sheet` the paper, and `tuning_log` the trimming afterwards.
"""
