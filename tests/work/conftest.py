"""The small shop at a stage, as the stories begin."""

from stories.conftest import begin

__all__ = ["begin"]
