"""The changes as a list model: a heading for each topic, then a row for each change."""

from PySide6.QtCore import QAbstractListModel, QModelIndex, QObject, QPersistentModelIndex, Qt

from planner.desk.saying import in_use, law
from planner.remedy.compare_change import Change
from planner.remedy.compare_words import TOPIC_WORDS, change_words

Index = QModelIndex | QPersistentModelIndex
Row = str | Change


class ChangesModel(QAbstractListModel):
    """Rows that are headings can't be chosen."""

    ROW = Qt.ItemDataRole.UserRole + 1

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.rows: tuple[Row, ...] = ()

    def show(self, changes: tuple[Change, ...]) -> None:
        """Show other changes, in their order."""
        rows: list[Row] = []
        topic = None
        for change in changes:
            if change.topic is not topic:
                topic = change.topic
                rows.append(TOPIC_WORDS[topic])
            rows.append(change)
        self.beginResetModel()
        self.rows = tuple(rows)
        self.endResetModel()

    def change_at(self, index: Index) -> Change | None:
        """Return the change of a row, None at a heading."""
        row = self.rows[index.row()] if index.isValid() else None
        return row if isinstance(row, Change) else None

    def rowCount(self, parent: Index | None = None) -> int:
        """Return how many rows there are."""
        return 0 if parent is not None and parent.isValid() else len(self.rows)

    def flags(self, index: Index) -> Qt.ItemFlag:
        """Let changes be chosen; headings are passed over."""
        if self.change_at(index) is None:
            return Qt.ItemFlag.NoItemFlags
        return Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """Return a row, or its words for those who hear the screen."""
        row = self.rows[index.row()]
        if role == self.ROW:
            return row
        if role in (
            Qt.ItemDataRole.DisplayRole,
            Qt.ItemDataRole.AccessibleTextRole,
        ):
            return row if isinstance(row, str) else law(change_words(row, in_use()))
        return None
