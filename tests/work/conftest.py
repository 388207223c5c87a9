"""The small shop's stages, as the stories begin with them."""

from stories.conftest import begin, stages

__all__ = ["begin", "stages"]
