"""What documents say, in the language of who reads them: English in the code, other languages from catalogues.

A catalogue is a gettext file `<language>.po` in this folder and nothing else: another language is another file.
"""

from ufh_core.words.speech import language, languages, mark, number, said, say, speaking

__all__ = ["language", "languages", "mark", "number", "said", "say", "speaking"]
