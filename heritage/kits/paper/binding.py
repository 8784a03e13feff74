"""Several sheets in one file: pages, tags, bookmarks and all.

Each sheet keeps its own page numbers, so that the file can be taken apart again.
"""

from collections.abc import Sequence
from io import BytesIO

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, OutlineItem

from heritage.kits.paper.seal import write


def bind(sheets: Sequence[bytes], *, title: str, language: str, author: str) -> bytes:
    """Bind sealed sheets in their order. The same arguments give the same bytes.

    Raises
    ------
    ValueError
        If there is nothing to bind.
    """
    if not sheets:
        raise ValueError("There is no sheet to bind.")
    with pikepdf.new() as whole:
        parts = _Parts(whole)
        for sheet in sheets:
            with pikepdf.open(BytesIO(sheet)) as part:
                parts.add(part)
        parts.finish(language)
        properties = {"title": title, "author": author, "subject": "", "lang": language}
        whole.docinfo.Title, whole.docinfo.Author = title, author
        return write(whole, properties)


class _Parts:
    """Takes sheets over one after the other, each a part of the whole."""

    def __init__(self, whole: pikepdf.Pdf) -> None:
        self.whole = whole
        self.tree = whole.make_indirect(Dictionary(Type=Name.StructTreeRoot))
        self.document = whole.make_indirect(
            Dictionary(Type=Name.StructElem, S=Name.Document, P=self.tree, K=Array())
        )
        self.numbers = Array()
        self.names: list[tuple[str, int]] = []

    def add(self, part: pikepdf.Pdf) -> None:
        """Take over a sheet's pages, and then what their tags say."""
        first = len(self.whole.pages)
        self.names.append((str(part.docinfo.Title), first))
        self.whole.pages.extend(part.pages)
        for page in self.whole.pages[first:]:
            if "/StructParents" in page.obj:
                page.obj.StructParents = int(page.obj.StructParents) + first
        # The pages are known by now, so the elements come to point to those taken over.
        tree = self.whole.copy_foreign(part.make_indirect(part.Root.StructTreeRoot))
        for element in tree.K:
            element.S, element.P = Name.Part, self.document
            self.document.K.append(element)
        self._number(tree.ParentTree.Nums, first)

    def _number(self, numbers: Object, first: int) -> None:
        pairs = list(numbers)
        for index, elements in zip(pairs[::2], pairs[1::2], strict=True):
            self.numbers.append(int(index) + first)
            self.numbers.append(elements)

    def finish(self, language: str) -> None:
        """Close the tree, and say what a reader's program is to know."""
        whole = self.whole
        self.tree.K = Array([self.document])
        self.tree.ParentTree = whole.make_indirect(Dictionary(Nums=self.numbers))
        self.tree.ParentTreeNextKey = len(whole.pages)
        whole.Root.StructTreeRoot = self.tree
        whole.Root.MarkInfo = Dictionary(Marked=True)
        whole.Root.Lang = language
        whole.Root.ViewerPreferences = Dictionary(DisplayDocTitle=True)
        with whole.open_outline() as outline:
            outline.root.extend(OutlineItem(*name) for name in self.names)
