"""The one base of every error that a person is told about."""


class PlatefulError(Exception):
    """Something a person can act on; the message is one clear sentence with the value and the remedy."""


class FileError(PlatefulError):
    """A file that cannot be read or written; the message names the file, the place in it and the remedy."""


class WorkshopError(PlatefulError):
    """Something that the workshop cannot do now; the message names what stands in the way and the remedy."""


class DrawerError(WorkshopError):
    """What a project takes from the drawer or gives back is not so there, now or later: the drawer holds otherwise."""


class BehindError(DrawerError):
    """A project does not know what another window did to it; it is to be brought up first."""
