"""The folder that the page reads and writes: names, saves, and work in progress.

`place` finds and reads, `saving` writes, `work` keeps what is typed, `uploads` takes files in.
"""
