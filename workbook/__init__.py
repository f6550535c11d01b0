"""From a receiving array's design file to delay lines cut, checked and labelled; see README.md."""

import lazy_loader as _lazy

__version__ = "0.1.0"

# names come when first used (SPEC 1), so that a script pays only for what it touches
__getattr__, __dir__, __all__ = _lazy.attach_stub(__name__, __file__)
