"""Who takes part, where they stand, and what an observer has tried."""

import attrs
from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from planner.desk.crew_shelf import CrewShelf, same_person
from planner.desk.document import Document
from planner.desk.fields import ChoiceField, Field, Section, TextField
from planner.desk.forms.add_box import AddBox
from planner.desk.forms.library_line import LibraryLine
from planner.desk.forms.place_field import PlaceField
from planner.desk.forms.take_menu import TakeMenu
from planner.desk.forms.tried_editor import TriedEditor
from planner.desk.plain_label import PlainLabel
from planner.desk.state_dir import state_dir
from planner.desk.whom_to_place import FORM_OF, new_member
from planner.desk.words import CONTACT_WORDS, TASK_WORDS, role_choices
from planner.plan.crew import CrewMember, Role, TriedRange
from planner.plan.edits import AddCrew, RemoveCrew, ReplaceCrew


class MemberCard(QWidget):
    """One person; `keep_wanted` carries them for the library."""

    keep_wanted = Signal(object)

    def __init__(
        self, document: Document, member: CrewMember, shelf: CrewShelf, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._member = member
        self._shelf = shelf
        self._roles = role_choices(document.plan.purpose)
        self.role = ChoiceField("Role", "What they do during the flight", self._roles, may_be_unset=False)
        self.name = TextField(
            "Name", "For the briefing sheet; stays on this computer", example="name", blank=""
        )
        self.contact = ChoiceField(
            "Talks with the person at the controls",
            "Recreational observers must stand beside (49 USC 44809(a)(3))",
            CONTACT_WORDS,
        )
        # The longest of all labels: in one line it made the page wider than the panel.
        self.contact.label.setWordWrap(True)
        self.tasks = ChoiceField(
            "Eyes on", "Watching the aircraft and scanning the sky are two tasks; share them", TASK_WORDS
        )
        self.stands = PlaceField("Stands at", "Where this person stands")
        self.hint = PlainLabel("Not placed yet: type where they stand, or press O and click there.", self)
        self.hint.setProperty("kind", "soft")
        self.hint.setWordWrap(True)
        self.tried = TriedEditor(self)
        self.remove = QPushButton("Remove", self)
        self.remove.setToolTip("Take this person off the plan")
        self.keep = QPushButton(self)
        self.keep.setProperty("kind", "link")
        self.keep.clicked.connect(lambda: self.keep_wanted.emit(self._member))
        for field in (self.role, self.name, self.contact, self.tasks, self.stands):
            field.committed.connect(self._commit)
        self.tried.changed.connect(self._commit_tried)
        self.remove.clicked.connect(lambda: document.try_edit(RemoveCrew(self._member.key)))
        self._lay_out()

    def lacks(self, field: str) -> bool:
        """Whether this is not said of them yet."""
        member = self._member
        said = {"contact": member.contact, "tasks": member.tasks, "stands": member.place}
        return not {**said, "tried": member.tried_ranges}[field]

    @property
    def is_observer(self) -> bool:
        """Whether the person shown is one of the observers."""
        return self._member.role is Role.OBSERVER

    @property
    def key(self) -> str:
        """The key of the person shown."""
        return self._member.key

    def show_member(self, member: CrewMember) -> None:
        """Show what the plan says of them."""
        self._member = member
        self.setProperty(FORM_OF, member.key)
        if self._roles != (roles := role_choices(self._document.plan.purpose)):
            self._roles = roles
            self.role.offer(roles)
        self.role.show_value(member.role)
        self.name.show_text(member.name)
        self.contact.show_value(member.contact)
        self.contact.setVisible(member.role is not Role.PERSON_AT_CONTROLS)
        self.tasks.show_value(member.tasks or None)
        self.tasks.setVisible(member.role is not Role.SPECTATOR)
        self.tried.setVisible(member.role is not Role.SPECTATOR)
        self.tried.show_ranges(member.tried_ranges, self._document.plan)
        self.stands.show_place(member.place)
        self.hint.setVisible(member.place is None)
        self.refresh_keep()

    def refresh_keep(self) -> None:
        """Say whether the library has this person as the plan does."""
        kept = self._shelf.called(self._member.name)
        as_here = kept is not None and same_person(kept, self._member)
        self.keep.setText(_keep_words(kept is not None, as_here))
        self.keep.setEnabled(bool(self._member.name) and not as_here and not self._shelf.trouble)
        self.keep.setToolTip(
            f"Name, role and tried ranges for other plans, in an open file: {self._shelf.path}"
            if self._member.name
            else "The library knows people by their name: give one first"
        )

    def _lay_out(self) -> None:
        top = QHBoxLayout()
        top.setSpacing(10)
        top.addWidget(self.role, 1)
        top.addWidget(self.name, 1)
        bottom = QHBoxLayout()
        bottom.addWidget(self.hint, 1)
        bottom.addWidget(self.keep)
        bottom.addWidget(self.remove)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 4, 0, 10)
        column.setSpacing(7)
        column.addLayout(top)
        middle = QHBoxLayout()
        middle.setSpacing(10)
        middle.addWidget(self.contact, 1)
        middle.addWidget(self.tasks, 1)
        column.addLayout(middle)
        column.addWidget(self.tried)
        column.addWidget(self.stands)
        column.addLayout(bottom)

    def _commit(self) -> None:
        member = attrs.evolve(
            self._member,
            role=self.role.value(),
            name=str(self.name.value()),
            contact=self.contact.value(),
            tasks=self.tasks.value() or frozenset(),
            place=self._member.place if self.stands.has_trouble else self.stands.value(),
        )
        self._document.try_edit(ReplaceCrew(self._member.key, member))

    def _commit_tried(self, ranges: tuple[TriedRange, ...]) -> None:
        self._document.try_edit(
            ReplaceCrew(self._member.key, attrs.evolve(self._member, tried_ranges=ranges))
        )


class CrewSection(Section):
    """A card a person, and a list of roles to add one."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(
            "Crew", "Through goggles nobody watches the aircraft: a visual observer must be able to", parent
        )
        self._document = document
        self._shelf = CrewShelf(state_dir())
        self.cards: list[MemberCard] = []
        self._column = QVBoxLayout()
        self._column.setSpacing(2)
        holder = QWidget(self)
        holder.setLayout(self._column)
        self._column.setContentsMargins(0, 0, 0, 0)
        self.add = AddBox("Add somebody…", list(role_choices(document.plan.purpose).values()), self)
        self.add.setAccessibleName("Add somebody to the crew")
        self.add.chosen.connect(self._add)
        self.take = TakeMenu(self._shelf, self._line_of, self)
        self.take.taken.connect(self._take)
        self.error = LibraryLine(document, self._shelf, self.refresh, self)
        self.take.left.connect(self.error.forget)
        self.add_row(holder)
        self.add_row(self.add, self.take)
        self.add_row(self.error)

    def input_of(self, field: str) -> QWidget | None:
        """Return where an answer is lacking, the observer's first; else where it could be another one."""
        observers = [card for card in self.cards if card.is_observer]
        anybody = self.cards if field == "stands" else []
        lacking = [card for card in (*observers, *anybody) if card.lacks(field)]
        for card in (*lacking, *observers):
            wanted: Field | TriedEditor = getattr(card, field)
            return wanted.begun() if isinstance(wanted, TriedEditor) else wanted.input
        return self.first_input()

    def refresh(self) -> None:
        """Show the plan's crew."""
        self._shelf.refresh()
        self.error.show_trouble()
        self.take.refresh()
        self.add.call(list(role_choices(self._document.plan.purpose).values()))
        crew = self._document.plan.crew
        if [card.key for card in self.cards] != [member.key for member in crew]:
            for card in self.cards:
                self._column.removeWidget(card)
                card.hide()
                card.deleteLater()
            self.cards = [MemberCard(self._document, member, self._shelf, self) for member in crew]
            for card in self.cards:
                card.keep_wanted.connect(self._keep)
                self._column.addWidget(card)
        for card, member in zip(self.cards, crew, strict=True):
            card.show_member(member)

    def _add(self, index: int) -> None:
        somebody = new_member(self._document, list(Role)[index])
        if self._document.try_edit(AddCrew(somebody)):
            self.refresh()
            # A name is what is typed next.
            for card in self.cards:
                if card.key == somebody.key:
                    card.name.edit.setFocus(Qt.FocusReason.TabFocusReason)

    def _take(self, person: CrewMember) -> None:
        """Copy somebody into the plan; who is there by that name keeps their place."""
        same = next((one for one in self._document.plan.crew if one.name == person.name), None)
        if same is not None:
            there = attrs.evolve(person, key=same.key, place=same.place)
            self._document.try_edit(ReplaceCrew(same.key, there))
            return
        key = new_member(self._document, person.role).key
        self._document.try_edit(AddCrew(attrs.evolve(person, key=key, place=None)))

    def _line_of(self, person: CrewMember) -> str:
        return f"{person.name} · {role_choices(self._document.plan.purpose)[person.role]}"

    def _keep(self, member: CrewMember) -> None:
        self.error.keep(lambda: member, member.name)


def _keep_words(known: bool, as_here: bool) -> str:
    if as_here:
        return "Kept in the library"
    return "Replace in the library" if known else "Keep in the library"
