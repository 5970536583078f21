"""Who moves when, who carries the tune, what a bar holds: facts that cues, chunks, set-up and screens share."""
