"""Design study, cut sheets and printable parts for modifying an off-the-shelf foam jet."""
