"""Exact time and seconds: routes through the bars, the beats of a bar, tempi, shapes, and the map between them."""
