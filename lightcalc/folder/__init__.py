"""The folder that the page reads and writes: names, saves, and work in progress.

`place` finds and reads, `saving` writes, `work` keeps what is typed, `uploads` takes files in.
"""

from lightcalc.folder.kept import Work
from lightcalc.folder.place import (
    LARGEST_DESIGN_BYTES,
    catalogue_names,
    catalogue_path,
    design_names,
    read_text,
)
from lightcalc.folder.saving import save_text, text_before
from lightcalc.folder.uploads import (
    take_catalogue,
    take_catalogue_zip,
    take_design,
    zip_of_catalogue,
)
from lightcalc.folder.work import (
    ChangedElsewhere,
    keep_both,
    keep_work,
    open_work,
    save_design,
    start_again,
)

__all__ = [
    "LARGEST_DESIGN_BYTES",
    "ChangedElsewhere",
    "Work",
    "catalogue_names",
    "catalogue_path",
    "design_names",
    "keep_both",
    "keep_work",
    "open_work",
    "read_text",
    "save_design",
    "save_text",
    "start_again",
    "take_catalogue",
    "take_catalogue_zip",
    "take_design",
    "text_before",
    "zip_of_catalogue",
]
