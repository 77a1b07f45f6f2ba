"""The trade's arithmetic: pure functions of measures, one topic a module; no rule stands here."""
