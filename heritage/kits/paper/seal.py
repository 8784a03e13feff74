"""The last step: the finished pages get their structure, and fixed bytes.

Structure after ISO 32000-1, 14.7 and 14.8. The file says that it keeps PDF/UA-1 (ISO
14289-1): whatever is drawn is tagged or decoration, figures speak, fonts are embedded.
A checker of the rules that a machine can tell finds nothing (`tests/outside`); no full
validator has seen it.
"""

from io import BytesIO
from typing import Final

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, String

from heritage.kits.paper.tags import Mark, Node

PDF_UA: Final = "http://www.aiim.org/pdfua/ns/id/"


def page_count(pdf: bytes) -> int:
    """Say how many pages a finished sheet has."""
    with pikepdf.open(BytesIO(pdf)) as opened:
        return len(opened.pages)


class _Planter:
    """Grows the structure tree inside the file."""

    def __init__(self, pdf: pikepdf.Pdf) -> None:
        self.pdf = pdf
        self.pages = [page.obj for page in pdf.pages]
        self.parents: dict[int, dict[int, Object]] = {}

    def plant(self, node: Node, parent: Object) -> Object:
        element = self.pdf.make_indirect(
            Dictionary(Type=Name.StructElem, S=Name(f"/{node.tag}"), P=parent)
        )
        if node.alt:
            element.Alt = String(node.alt)
        if node.scope:
            element.A = Dictionary(O=Name.Table, Scope=Name(f"/{node.scope}"))
        if node.numbering:
            element.A = Dictionary(
                O=Name.List, ListNumbering=Name(f"/{node.numbering}")
            )
        element.K = Array([self._kid(kid, element) for kid in node.kids])
        return element

    def _kid(self, kid: Node | Mark, element: Object) -> Object:
        if isinstance(kid, Node):
            return self.plant(kid, element)
        self.parents.setdefault(kid.page, {})[kid.mcid] = element
        return Dictionary(Type=Name.MCR, Pg=self.pages[kid.page - 1], MCID=kid.mcid)

    def parent_tree(self) -> Object:
        numbers = Array()
        for page, elements in sorted(self.parents.items()):
            numbers.append(page - 1)
            ordered = Array([element for _, element in sorted(elements.items())])
            numbers.append(self.pdf.make_indirect(ordered))
        return self.pdf.make_indirect(Dictionary(Nums=numbers))


def _add_structure(pdf: pikepdf.Pdf, root: Node) -> None:
    tree = pdf.make_indirect(Dictionary(Type=Name.StructTreeRoot))
    planter = _Planter(pdf)
    tree.K = Array([planter.plant(root, tree)])
    tree.ParentTree = planter.parent_tree()
    tree.ParentTreeNextKey = len(pdf.pages)
    pdf.Root.StructTreeRoot = tree
    pdf.Root.MarkInfo = Dictionary(Marked=True)
    for index, page in enumerate(pdf.pages):
        # A page of empty rows has nothing to read out.
        if index + 1 in planter.parents:
            page.obj.StructParents = index
        page.obj.Tabs = Name.S


def _add_metadata(pdf: pikepdf.Pdf, properties: dict[str, str]) -> None:
    # A date would change the bytes from one printing to the next.
    for key in ("/CreationDate", "/ModDate"):
        if key in pdf.docinfo:
            del pdf.docinfo[key]
    with pdf.open_metadata(set_pikepdf_as_editor=False, update_docinfo=False) as xmp:
        xmp.register_xml_namespace(PDF_UA, "pdfuaid")
        xmp[f"{{{PDF_UA}}}part"] = "1"
        xmp["dc:title"] = properties["title"]
        xmp["dc:language"] = [properties["lang"]]
        if properties["author"]:
            xmp["dc:creator"] = [properties["author"]]
        if properties["subject"]:
            xmp["dc:description"] = properties["subject"]


def seal(pages: bytes, root: Node, properties: dict[str, str]) -> bytes:
    """Add structure and metadata, and write PDF 1.7 with a name of its contents."""
    with pikepdf.open(BytesIO(pages)) as pdf:
        _add_structure(pdf, root)
        return write(pdf, properties)


def write(pdf: pikepdf.Pdf, properties: dict[str, str]) -> bytes:
    """Write a tagged file with its metadata."""
    finished = BytesIO()
    _add_metadata(pdf, properties)
    pdf.save(
        finished,
        min_version="1.7",
        deterministic_id=True,
        object_stream_mode=pikepdf.ObjectStreamMode.generate,
    )
    return finished.getvalue()
