"""The blocks of the curriculum as the stream of a page holds them."""


def value_of(block):
    """Return a block of the curriculum as the page's stream holds it."""
    if block.block_type == "numbers":
        return {"names": list(block.names)}
    value = dict(vars(block))
    if "drawing" in value:
        value |= {"photo": None, "clip": None, "picture_alt": value.pop("drawing_alt")}
    if block.block_type == "timer":
        value["minutes"] = None
    if block.block_type == "question":
        value["answers"] = [dict(vars(answer)) for answer in block.answers]
    return value
