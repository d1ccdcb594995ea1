"""A tariff of one price, written from a small form: who pays by periods writes a tariff file."""

from decimal import Decimal, InvalidOperation

import tomlkit

from wattwright.core.errors import Fault, Place
from wattwright.web.forms import Field
from wattwright.web.words import words

_MOST = Decimal(100_000)


def tariff_fields() -> tuple[Field, ...]:
    """The fields of the form."""
    return (
        Field("currency", words("field.currency"), words("field.currency.help"), "text", value="EUR", wanted=True),
        Field("price", words("field.price"), words("field.price.help"), "number", wanted=True),
        Field("standing", words("field.standing"), words("field.standing.help"), "number", usual=words("field.standing.usual")),
        Field("source", words("field.source"), words("field.source.help"), "text", usual=words("field.source.usual")),
    )


def tariff_text(fields: tuple[Field, ...]) -> tuple[str, tuple[Fault, ...]]:
    """The tariff file for what stands in the fields, and what is wrong with them."""
    given = {one.name: one.value.strip() for one in fields}
    faults = []
    currency = given["currency"].upper()
    if not (len(currency) == 3 and currency.isascii() and currency.isalpha()):
        faults.append(_fault("currency", given["currency"], words("wanted.currency")))
    amounts = {}
    for name in ("price", "standing"):
        amount = _amount(given[name] or ("" if name == "price" else "0"))
        if amount is None:
            faults.append(_fault(name, given[name], words("wanted.amount")))
        else:
            amounts[name] = amount
    return ("" if faults else _written(currency, amounts, given["source"])), tuple(faults)


def _written(currency: str, amounts: dict[str, str], source: str) -> str:
    document, one, energy, tariffs = tomlkit.document(), tomlkit.table(), tomlkit.table(), tomlkit.aot()
    one.update({"id": "one-price", "name": words("tariff.one-price"), "currency": currency, "basis": "assumed"})
    one["source"] = source or words("tariff.source")
    if Decimal(amounts["standing"]):
        fixed = tomlkit.aot()
        standing = tomlkit.table()
        standing.update({"label": words("tariff.standing"), "price": amounts["standing"], "per": "month"})
        fixed.append(standing)
        one["fixed"] = fixed
    energy.update({"label": words("tariff.energy"), "price": amounts["price"]})
    many = tomlkit.aot()
    many.append(energy)
    one["energy"] = many
    tariffs.append(one)
    document["tariff"] = tariffs
    return tomlkit.dumps(document)


def _amount(text: str) -> str | None:
    """An amount as a tariff file writes it, None where it is none."""
    plain = text.replace(",", ".") if text.count(",") == 1 and "." not in text else text
    try:
        value = Decimal(plain)
    except InvalidOperation:
        return None
    return f"{value:f}" if value.is_finite() and 0 <= value <= _MOST else None


def _fault(name: str, found: str, wanted: str) -> Fault:
    return Fault("desk.tariff", Place(field=name), found, wanted)
