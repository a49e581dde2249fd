"""One page, many forms: what is to be read as blocks (`blocks`), and those written as text, Markdown, HTML or PDF.

Takes plain words and pictures; knows nothing of floors or finishes. Every form says the same.
"""
