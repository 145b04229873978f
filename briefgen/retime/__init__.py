"""Another time over target for a plan that stands: what can still be met, until when, and the words to say
it.

What can be met is decided in plan/event/judge.py, for the printed rows and the ground contact's page alike;
``heard`` predicts T from the script, ``answer`` puts everything together for ``briefgen retime``; the words
are those of brief/wording/spoken.py.
"""
