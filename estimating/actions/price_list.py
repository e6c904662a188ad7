from base.tables import Table
from estimating.actions.own_rates import make_own_rates
from estimating.actions.rates import set_rates
from estimating.price_list import fates_of
from shop.actions import locked_settings
from shop.audit import change
from shop.models import Staff
from shop.table_files import check_fates


def take_price_list(*, table: Table, seen: str, by: Staff) -> int:
    """Sets and makes every rate that the list changes or adds, or none; returns how many.

    `seen`: of the fates that `by` was shown. Raises ChangedSince where a row would fare otherwise now, Refused where
    one can't be taken.
    """
    with change(by):
        locked_settings()
        fates = fates_of(table)
        check_fates(fates, seen=seen)
        made = make_own_rates([fate.new for fate in fates if fate.new], by=by)
        return len(made) + len(set_rates([fate.figures for fate in fates if fate.figures], by=by))
