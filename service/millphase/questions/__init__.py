"""The questions of the trade, one module each; found by :func:`millphase.questions.base.registry`."""
