"""The small shop's stages, as the stories begin with them."""

from stories.conftest import stages

__all__ = ["stages"]
