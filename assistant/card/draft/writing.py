"""The draft as YAML that loads: what was said, with time and words beside it, and what nobody said left open."""

from __future__ import annotations

import io

from ruamel.yaml import YAML
from ruamel.yaml.comments import CommentedMap, CommentedSeq

from assistant.card.plan import VERB_KIND

from .card_text import capitalised, comment_safe, cut_to, flow_list, flow_map, safe_text, said_at, slug, where_said
from .entries import PLAIN_VERBS, Entries
from .narration import Narration
from .story import Deed, Telling, Understanding
from .unions import ON_LINES
from .wording import sentence_of

TABLES = {
    "tool": "tools",
    "consumable": "consumables",
    "part": "parts",
    "fastener": "fasteners",
    "connection": "connections",
    "fluid": "fluids",
    "cover": "covers",
    "mark": "marks",
    "support": "supports",
    "measure": "measures",
}


_HEADER = """Drafted from a narration ({source}); {passages} passages, {steps} steps.
A draft: a value stands here only if it was said. Whatever was not said is absent or `unknown`.
Settle every `unsure` mark, check each value against the maker's service information, then run `bay check`."""


NOTICE = (
    "A draft from somebody's talk, not checked by anyone. Not to be worked by until every open "
    "question is settled and every value is held against the maker's service information."
)


def card_of(understanding: Understanding, narration: Narration) -> CommentedMap:
    """The draft card with its comments."""
    return _Writer(understanding, narration).card()


def yaml_of(card: CommentedMap) -> str:
    yaml = YAML()
    yaml.width = 118
    yaml.indent(mapping=2, sequence=4, offset=2)
    yaml.allow_unicode = True
    out = io.StringIO()
    yaml.dump(card, out)
    return out.getvalue()


class _Writer(Entries):
    """The whole card."""

    def card(self) -> CommentedMap:
        self._name_things()
        card = CommentedMap()
        title = self.story.title or "unknown"
        card["card"] = slug(title)[:40].strip("-") if self.story.title else "draft"
        card["title"] = cut_to(capitalised(title), 80)
        card["revision"] = "draft"
        card["notice"] = NOTICE
        card["vehicle"] = "unknown"
        card["maker"] = "unknown"
        if self.story.cautions:
            card["cautions"] = CommentedSeq(safe_text(words) for words in dict.fromkeys(self.story.cautions))
        if self.story.conditions:
            card["facts"] = self._facts()
        for kind, table in TABLES.items():
            entries = CommentedMap()
            for thing in self.used:
                if thing.kind == kind:
                    entries[self.ids[thing.number]] = self._entry(thing)
                    self._beside(entries, self.ids[thing.number], thing.first, 2)
            if entries:
                card[table] = entries
        card["sections"] = self._sections()
        unsure = self._unsure()
        if unsure:
            card["unsure"] = unsure
        steps = sum(1 for _ in self.story.steps)
        header = _HEADER.format(source=self.narration.source, passages=len(self.narration.passages), steps=steps)
        card.yaml_set_start_comment(comment_safe(header))
        return card

    def _facts(self) -> CommentedMap:
        facts = CommentedMap()
        for condition in self.story.conditions.values():
            id_ = condition.id
            fact = CommentedMap(ask=safe_text(condition.ask))
            fact["options"] = CommentedMap(
                (option, CommentedMap(say=safe_text(words))) for option, words in condition.options
            )
            facts[id_] = fact
            self._beside(facts, id_, condition.said, 2)
        return facts

    def _sections(self) -> CommentedSeq:
        sections = CommentedSeq()
        for id_, name in (("out", "Out"), ("inspect", "Inspect"), ("back-in", "Back in")):
            steps = [step for step in self.story.steps if step.section == id_]
            if not steps:
                continue
            section = CommentedMap(id=id_, name=name)
            told = CommentedSeq()
            for step in steps:
                told.append(self._step(step))
                told.yaml_set_comment_before_after_key(len(told) - 1, before=where_said(step.said), indent=6)
            section["steps"] = told
            sections.append(section)
        return sections

    def _step(self, step: Telling) -> CommentedMap:
        told = CommentedMap(id=self._step_id(step))
        told["say"] = safe_text(sentence_of(step))
        how = [step.words] if any(deed.verb in ("move",) for deed in step.deeds) and len(step.deeds) > 1 else []
        how.extend(step.how)
        if how:
            told["how"] = safe_text(" ".join(capitalised(words).rstrip(".") + "." for words in how))
        if step.why:
            told["why"] = safe_text(capitalised(step.why).rstrip(".") + ".")
        if step.cautions:
            told["cautions"] = CommentedSeq(
                safe_text(words.rstrip(".,") + ".") for words in dict.fromkeys(step.cautions)
            )
        if step.check:
            told["check"] = safe_text(step.check)
        does = CommentedSeq(
            action for deed in step.deeds if self._can_be_written(deed) for action in self._actions(deed)
        )
        if does:
            told["does"] = does
        tools = [self.ids[tool.number] for tool in step.tools if tool.number in self.ids]
        if tools:
            told["tools"] = flow_list(list(dict.fromkeys(tools)))
        if step.troubles:
            told["trouble"] = CommentedSeq()
            for trouble in step.troubles:
                line = CommentedMap(
                    sign=safe_text(trouble.sign.rstrip(".,") + "."), do=safe_text(trouble.do.rstrip(".,") + ".")
                )
                if trouble.never:
                    line["never"] = safe_text(trouble.never.rstrip(".,") + ".")
                told["trouble"].append(line)
        if step.unsure:
            told["unsure"] = CommentedSeq(safe_text(reason) for reason in step.unsure)
        if step.when:
            told["when"] = CommentedMap(step.when)
            told["when"].fa.set_flow_style()
        return told

    def _can_be_written(self, deed: Deed) -> bool:
        """Told in words only otherwise: the card has no such verb, or not for that kind of thing."""
        thing = deed.thing
        if thing is None or thing.number not in self.ids or deed.verb in PLAIN_VERBS:
            return False
        return thing.kind in VERB_KIND[deed.verb]

    def _step_id(self, step: Telling) -> str:
        deed = next((one for one in step.deeds if one.thing is not None), None)
        words = (
            f"{deed.verb} {self.names.get(deed.thing.number, deed.thing.name)}"
            if deed is not None and deed.thing is not None and deed.verb != "move"
            else " ".join(step.words.split()[:6])
        )
        base = slug(words)[:50].strip("-")
        id_, number = base, 2
        while id_ in self.taken:
            id_ = f"{base}-{number}"
            number += 1
        self.taken.add(id_)
        return id_

    def _actions(self, deed: Deed) -> list[CommentedMap]:
        """The deed, and beside it what is done to the union of a line."""
        assert deed.thing is not None
        union = self.unions.get(deed.thing.number) if deed.verb in ON_LINES else None
        beside = [self._action(Deed(ON_LINES[deed.verb], union))] if union is not None else []
        return [*beside, self._action(deed)] if deed.verb == "disconnect" else [self._action(deed), *beside]

    def _action(self, deed: Deed) -> CommentedMap:
        assert deed.thing is not None
        action = CommentedMap({deed.verb.replace("_", "-"): self.ids[deed.thing.number]})
        count = deed.thing.count
        if deed.all_but and (count is None or deed.all_but < count):
            action["some"] = flow_map(all_but=deed.all_but)
        elif deed.count and not deed.rest and (count is None or deed.count < count):
            action["some"] = flow_map(count=deed.count)
        if deed.to and deed.verb in ("apply",):
            action["to"] = safe_text(deed.to)
        if len(action) == 1:
            action.fa.set_flow_style()
        return action

    def _unsure(self) -> CommentedSeq:
        lines = CommentedSeq()
        if not self.story.title:
            lines.append("the title was not said")
        lines.append("the vehicle and its maker were not said")
        for item in self.story.unread:
            lines.append(safe_text(f'{item.why}{said_at(item.said)}: "{cut_to(item.said.words, 400)}"'))
        for piece in self.narration.skipped:
            lines.append(safe_text(f"not read, {piece.where} ({piece.why}): {cut_to(piece.words, 200)}"))
        if self.story.cut:
            lines.append(
                f"the narration goes on: {self.story.cut} more sentences were left out, since no card has so many "
                f"steps; split it by jobs"
            )
        return lines
