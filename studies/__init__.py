"""Questions answered once by a longer calculation, whose answers other parts of the project lean on.

Each study is one module of this folder with a function ``run() -> dict`` of plain JSON values, rounded to the digits
that mean something, and, if it reads files, their paths from the project's top folder in ``DATA``. Its answer is
committed as ``results/<name>.json`` with the SHA-256 of every file it came from: the study, the modules of the package
it imported, and ``DATA``. A study is stale when one of these files changed.
"""
