"""How wrong an array may be: known faults, and tolerances as distributions run through many trials."""

import lazy_loader as _lazy

__getattr__, __dir__, __all__ = _lazy.attach(__name__, submodules=["faults"])
