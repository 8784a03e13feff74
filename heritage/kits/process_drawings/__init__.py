"""Our own line drawings of the work, for process sheets and pages."""

from heritage.kits.process_drawings.beets import beet, stook
from heritage.kits.process_drawings.breaking import brake
from heritage.kits.process_drawings.field import pulling
from heritage.kits.process_drawings.hackling import hackle
from heritage.kits.process_drawings.scutching import scutching
from heritage.kits.process_drawings.water import dam

__all__ = ["beet", "brake", "dam", "hackle", "pulling", "scutching", "stook"]
