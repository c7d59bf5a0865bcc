"""Film arithmetic: what a litre covers, how thick it lies, and what a mix of parts is made of."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from boottop.coating.finding import require_between
from boottop.coating.sheet import Part, ProductSheet

SI_CONSTANT_M2_UM_L = 1000.0
US_CONSTANT_FT2_MIL_GAL = 231.0 / (0.001 * 144.0)


def theoretical_rate_m2_l(solids_fraction: float, dry_film_um: float) -> float:
    """Area that one litre covers with nothing lost, m2/L = 1000 * solids fraction / dry film (10 * % / um).

    Valid for 0 < solids fraction <= 1. Source: volume balance, by definition: 1 L on 1 m2 stands 1000 um high.

    >>> theoretical_rate_m2_l(0.65, 125.0)
    5.2
    """
    _check_film(solids_fraction, dry_film_um)
    return SI_CONSTANT_M2_UM_L * solids_fraction / dry_film_um


def theoretical_rate_ft2_gal(solids_fraction: float, dry_film_mil: float) -> float:
    """The same in US units, ft2 per US gallon = 1604.17 * solids fraction / dry film in mil.

    Valid for 0 < solids fraction <= 1. Source: by definition, 1 US gal = 231 in3; printed as 1604 in the trade.

    >>> round(theoretical_rate_ft2_gal(1.0, 1.0), 2)
    1604.17
    """
    _check_film(solids_fraction, dry_film_mil)
    return US_CONSTANT_FT2_MIL_GAL * solids_fraction / dry_film_mil


def practical_rate(theoretical: float, loss_fraction: float) -> float:
    """Area that one litre covers with the loss in roller, pan, pot and roughness: unit of `theoretical`.

    Valid for 0 <= loss < 1. The loss is the yard's own figure: no neutral published one for brush and roller was
    found. Source: practical = theoretical * (1 - loss), common practice, no source.

    >>> round(practical_rate(100.0, 0.30), 6)
    70.0
    """
    require_between(loss_fraction, (0.0, 1.0), where="loss", unit="(fraction)", open_low=False)
    return theoretical * (1.0 - loss_fraction)


def wet_film_um(dry_film_um: float, solids_fraction: float, *, thinner_fraction: float = 0.0) -> float:
    """Wet film to roll for a dry film, um = dry * (1 + thinner) / solids; thinner as a share of the unthinned mix.

    Valid for 0 < solids fraction <= 1, thinner >= 0. Source: volume balance, by definition.

    >>> round(wet_film_um(100.0, 0.5, thinner_fraction=0.10), 6)
    220.0
    """
    _check_film(solids_fraction, dry_film_um)
    require_between(thinner_fraction, (0.0, inf), where="thinner", unit="(fraction)", open_low=False)
    return dry_film_um * (1.0 + thinner_fraction) / solids_fraction


def dry_film_um(wet_um: float, solids_fraction: float, *, thinner_fraction: float = 0.0) -> float:
    """Dry film that a wet film leaves, um: the inverse of `wet_film_um`.

    >>> round(dry_film_um(220.0, 0.5, thinner_fraction=0.10), 6)
    100.0
    """
    _check_film(solids_fraction, wet_um)
    require_between(thinner_fraction, (0.0, inf), where="thinner", unit="(fraction)", open_low=False)
    return wet_um * solids_fraction / (1.0 + thinner_fraction)


def mean_wet_film_um(litres: float, area_m2: float, *, loss_fraction: float = 0.0) -> float:
    """Mean wet film from the material balance, um = 1000 * litres * (1 - loss) / area.

    `litres` left the pot, `loss` of it stayed in roller and pan. The one measure of thickness that works on GRP and
    timber, where magnetic and eddy-current gauges read nothing; it is a mean and hides thin spots.
    Source: volume balance, by definition.

    >>> mean_wet_film_um(3.0, 20.0)
    150.0
    """
    require_between(area_m2, (0.0, inf), where="area", unit="m2")
    return SI_CONSTANT_M2_UM_L * practical_rate(litres, loss_fraction) / area_m2


@dataclass(frozen=True, kw_only=True)
class PartShare:
    """What one litre of mix holds of one part: as poured, as it fills the mix, by mass, and what stays in the film.

    `poured_l` is bulk volume: for a powder more than `filled_l`, which is its grain alone.
    """

    name: str
    powder: bool
    poured_l: float
    filled_l: float
    mass_kg: float
    solids_l: float


@dataclass(frozen=True, kw_only=True)
class Mixture:
    """One litre of mix, taken apart. `filled_l` of the parts sum to 1, their masses to `density_kg_l`."""

    parts: tuple[PartShare, ...]
    solids_fraction: float
    density_kg_l: float

    @property
    def powder_fraction(self) -> float:
        """Volume share of powder grain in the wet mix."""
        return sum(part.filled_l for part in self.parts if part.powder)

    @property
    def liquid_density_kg_l(self) -> float:
        """Density of what the grain is suspended in; that of the whole mix when there is no liquid part."""
        liquids = [part for part in self.parts if not part.powder]
        filled_l = sum(part.filled_l for part in liquids)
        return sum(part.mass_kg for part in liquids) / filled_l if filled_l else self.density_kg_l


def mixture(sheet: ProductSheet) -> Mixture:
    """What a litre of a sheet's mix is made of: a powder adds the volume of its grain, not of the air between.

    Filled volume of a powder = poured volume * bulk density / grain density. Valid when the liquid wets every grain
    and volumes add. Source: volume and mass balance, by definition.
    """
    raw = [_share(part) for part in sheet.parts]
    total_l = sum(part.filled_l for part in raw)
    parts = tuple(
        PartShare(
            name=part.name,
            powder=part.powder,
            poured_l=part.poured_l / total_l,
            filled_l=part.filled_l / total_l,
            mass_kg=part.mass_kg / total_l,
            solids_l=part.solids_l / total_l,
        )
        for part in raw
    )
    return Mixture(
        parts=parts,
        solids_fraction=sum(part.solids_l for part in parts),
        density_kg_l=sum(part.mass_kg for part in parts),
    )


def _share(part: Part) -> PartShare:
    where = f"part {part.name!r}"
    require_between(part.volume_parts, (0.0, inf), where=f"{where}, volume parts", unit="parts")
    require_between(part.density_kg_l, (0.0, 25.0), where=f"{where}, density", unit="kg/L")
    poured_kg_l = part.density_kg_l
    if part.bulk_density_kg_l is not None:
        poured_kg_l = part.bulk_density_kg_l
        require_between(poured_kg_l, (0.0, part.density_kg_l), where=f"{where}, bulk density", unit="kg/L")
    mass_kg = part.volume_parts * poured_kg_l
    filled_l = mass_kg / part.density_kg_l
    return PartShare(
        name=part.name,
        powder=part.bulk_density_kg_l is not None,
        poured_l=part.volume_parts,
        filled_l=filled_l,
        mass_kg=mass_kg,
        solids_l=filled_l * part.solids_fraction,
    )


def coat_wet_film_um(sheet: ProductSheet, *, thinner_fraction: float = 0.0) -> float:
    """Wet film of one coat of a sheet, um, from its dry film per coat and the solids of its mix."""
    return wet_film_um(sheet.dry_film_um, mixture(sheet).solids_fraction, thinner_fraction=thinner_fraction)


def coat_rate_m2_l(sheet: ProductSheet, loss_fraction: float) -> float:
    """Practical spreading rate of one coat of a sheet, m2 per litre of mix."""
    return practical_rate(theoretical_rate_m2_l(mixture(sheet).solids_fraction, sheet.dry_film_um), loss_fraction)


def _check_film(solids_fraction: float, film: float) -> None:
    require_between(solids_fraction, (0.0, 1.0), where="solids by volume", unit="(fraction)")
    require_between(film, (0.0, inf), where="film", unit="um or mil")
