"""The fonts that are printed with: from Python packages, never the system's, so that a page is the same everywhere.

Noto Sans has Latin, Greek and Cyrillic. Chinese, Japanese and Korean come with the extra `cjk`, which is large.
"""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

__all__ = ["CJK_EXTRA", "cjk_fonts", "sans"]

#: What to install for Chinese, Japanese and Korean.
CJK_EXTRA = 'pip install "matchmark[cjk]"'
#: The packages with such fonts and their files, in the order in which a sign is looked for.
_CJK = (
    ("pylopdf_fonts_cjk", "NotoSansJP-Regular.otf"),
    ("pylopdf_fonts_zh_cn", "NotoSansSC-Regular.otf"),
    ("pylopdf_fonts_ko", "NotoSansKR-Regular.otf"),
)


def sans() -> Path:
    """Noto Sans, upright. The file is variable; its default is the regular weight."""
    folder = _folder("fontpkg_noto_sans")
    if folder is None:
        raise FileNotFoundError("the package fontpkg-noto-sans is not installed")
    return folder / "files" / "NotoSans[wdth,wght].ttf"


def cjk_fonts() -> list[Path]:
    """The installed fonts for Chinese, Japanese and Korean."""
    found = [folder / file for package, file in _CJK if (folder := _folder(package)) is not None]
    return [path for path in found if path.is_file()]


def _folder(package: str) -> Path | None:
    spec = find_spec(package)
    return Path(spec.origin).parent if spec is not None and spec.origin else None
