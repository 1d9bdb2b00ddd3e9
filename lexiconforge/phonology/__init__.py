"""The sounds of English apart from any one of them: phones, stress, IPA, letters, boundaries, endings, the matcher.

Room: imports the project's own tables in ``data`` and nothing else of ours.
"""
