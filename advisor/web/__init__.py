"""The page: the adviser in a browser, by the same functions as the commands, with no logic of its own.

`visit` is what one visitor has said, as a text that stands in each address; `asked` what a request gives to a view and
what a view gives back; a way (`home`, ...) is a module of views with its routes; `work` runs views in processes of
their own, within a time; `guard` refuses what should not come in; `app` puts them together; `serving` listens.
"""
