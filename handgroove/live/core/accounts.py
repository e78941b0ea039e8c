"""What became of every hit, and what the player is told: kept in bounded memory however long the night is."""

from __future__ import annotations

from collections import Counter, deque

_MOST_REASONS = 200
_NEWS_KEPT = 20


class Accounts:
    """Counts hits: each of *hits* is either *answered* or in *left_out*, by (what, why)."""

    def __init__(self) -> None:
        self.hits = 0
        self.answered = 0
        self.ignored = 0
        self.left_out: Counter[tuple[str, str]] = Counter()
        self.changed: Counter[tuple[str, str, str]] = Counter()
        self.news: deque[tuple[float, str]] = deque(maxlen=_NEWS_KEPT)
        self.news_count = 0
        self.now_sec = 0.0  # the engine keeps it

    def leave_out(self, subject: str, reason: str) -> None:
        """Note that a hit or strike gets no note, and why."""
        key = (subject, reason)
        if key not in self.left_out and len(self.left_out) >= _MOST_REASONS:
            key = ("others", "see above")
        self.left_out[key] += 1

    def change(self, subject: str, how: str, reason: str) -> None:
        """Note that the hands could not play a strike as asked: *how* it was changed, and why."""
        key = (subject, how, reason)
        if key not in self.changed and len(self.changed) >= _MOST_REASONS:
            key = ("others", "changed", "see above")
        self.changed[key] += 1

    def tell(self, text: str) -> None:
        """Tell the player something in one line."""
        self.news.append((self.now_sec, text))
        self.news_count += 1

    def fresh(self, told_count: int) -> list[str]:
        """Return what was told since *told_count* lines had been told, as far as it is kept."""
        count = min(len(self.news), self.news_count - told_count)
        return [text for _, text in list(self.news)[len(self.news) - count :]]

    def recent(self, last_sec: float) -> list[str]:
        """Return what was told in the last *last_sec* seconds, each line once, the newest last."""
        texts = [text for sec, text in self.news if self.now_sec - sec <= last_sec]
        return list(dict.fromkeys(reversed(texts)))[::-1]
