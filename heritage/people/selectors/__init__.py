"""What the pages about people show."""

from heritage.people.selectors.membership import (
    MyPage,
    PeoplePage,
    my_page,
    people_page,
)

__all__ = [
    "MyPage",
    "PeoplePage",
    "my_page",
    "people_page",
]
