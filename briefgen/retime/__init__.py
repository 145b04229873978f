"""Another time over target for a plan that stands: what can still be met, until when, and the words to say it.

``judge`` decides (the ground contact's page carries the same decision, line by line), ``heard`` predicts T from the script, ``phrases``
words it, ``answer`` puts everything together for ``briefgen retime``.
"""
