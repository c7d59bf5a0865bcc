"""A small file in every text format that is read, made in the test: two and a half days, one shower."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from tests.files.weather_text import epw_text, rows, text

HOURS = 60
FIRST = datetime(2022, 4, 1, tzinfo=UTC)

TMY3_HEADER = (
    "Date (MM/DD/YYYY),Time (HH:MM),GHI (W/m^2),DNI (W/m^2),DHI (W/m^2),TotCld (tenths),Dry-bulb (C),Dew-point (C),"
    "RHum (%),Pressure (mbar),Wspd (m/s),Lprecip depth (mm),Lprecip quantity (hr)"
)
KNMI_HEADER = "# STN,YYYYMMDD,   HH,   DD,   FH,    T,   TD,    Q,   RH,    P,    N,    U"
MET_EIREANN_HEADER = "station,time_utc,rain,temp,rhum,msl,wdsp,wddir"
NERRS_HEADER = (
    "time_est,atemp,f_atemp,rh,f_rh,bp,f_bp,wspd,f_wspd,totpar,f_totpar,totprcp,f_totprcp,totsorad,f_totsorad"
)
UCI_HEADER = "No,year,month,day,hour,season,PM_Xuhui,DEWP,HUMI,PRES,TEMP,cbwd,Iws,precipitation,Iprec"
MERRA_HEADER = "DateTime,WS50m_m/s,WD50m_deg,T2M_degC,PS_hPa"
DWD_COLUMNS = (
    ("surface observations", "01049", "Datum"),
    ("Parameter description", "Unit", "Uhrzeit (UTC)"),
    ("dew_point_temperature_at_2_meter_above_ground", "Grad C", "Taupunkttemperatur (2m)"),
    ("dry_bulb_temperature_at_2_meter_above_ground", "Grad C", "Temperatur (2m)"),
    ("mean_wind_speed_during last_10_min_at_10_meters_above_ground", "km/h", "Windgeschwindigkeit"),
    ("precipitation_amount_last_3_hours", "mm", "Niederschlag (letzte 3 Stunden)"),
    ("precipitation_amount_last_hour", "mm", "Niederschlag (letzte Stunde)"),
    ("pressure_reduced_to_mean_sea_level", "hPa", "Druck (auf Meereshoehe)"),
)
ASOS_HEADER = "origin,year,month,day,hour,temp,dewp,humid,wind_dir,wind_speed,wind_gust,precip,pressure,visib,time_hour"


def rain_mm(hour: int) -> float:
    """The shower: hours 30 to 32."""
    return 0.6 if 30 <= hour < 33 else 0.0


def air_c(hour: int) -> float:
    """Air between 10 and 15 degC, never the same for long."""
    return 10.0 + (hour * 7 % 24) * 0.2


def tmy3_rows() -> list[list[str]]:
    """Rows of `TMY3_HEADER`; hour 1 to 24."""
    made = []
    for hour in range(HOURS):
        day = FIRST + timedelta(hours=hour)
        light = "100" if 7 <= day.hour < 17 else "0"
        made.append(
            [f"{day:%m/%d/%Y}", f"{day.hour + 1:02d}:00", light, light, light, "8", f"{air_c(hour):.1f}", "8.0", "80",
             f"{1010 + hour % 5}", f"{3 + hour % 4}", f"{rain_mm(hour):g}", "1"]
        )  # fmt: skip
    return made


def tmy3_text(body: list[list[str]] | None = None) -> str:
    """A TMY3 file of one station at UTC-5."""
    lines = [",".join(row) for row in (tmy3_rows() if body is None else body)]
    return "\n".join(['712345,"INVENTED QUAY",XX,-5.0,45.0,-75.0,7', TMY3_HEADER, *lines]) + "\n"


def knmi_text() -> str:
    """Two stations in one KNMI file, with the list of stations above."""
    lines = ["SOURCE: a test", "# STN      LON(east)   LAT(north)     ALT(m)  NAME", "# 998:  4.100  52.000  1.0  Quay",
             "# 999:  4.200  52.100  2.0  Pier", "RH = rain", KNMI_HEADER, ""]  # fmt: skip
    for station in (998, 999):
        for hour in range(HOURS):
            day = FIRST + timedelta(hours=hour)
            rain = -1 if hour == 33 else round(rain_mm(hour) * 10)
            lines.append(
                f"  {station},{day:%Y%m%d},{day.hour + 1:5d},  990,   {30 + hour % 7},  {air_c(hour) * 10:.0f},   80,"
                f"    36,{rain:5d},10130,    9,   82"
            )
    return "\n".join(lines) + "\n"


def met_eireann_text() -> str:
    """The table of the open package, one station."""
    lines = [MET_EIREANN_HEADER]
    for hour in range(HOURS):
        day = FIRST + timedelta(hours=hour)
        lines.append(
            f"QUAY,{day:%Y-%m-%dT%H:%MZ},{rain_mm(hour):g},{air_c(hour):.1f},80,{1013 + hour % 3},{10 + hour % 4},200"
        )
    return "\n".join(lines) + "\n"


def nerrs_text() -> str:
    """Quarter hours with flags."""
    lines = [NERRS_HEADER]
    for quarter in range(HOURS * 4):
        day = FIRST + timedelta(minutes=15 * quarter)
        hour = quarter // 4
        lines.append(
            f"{day:%Y-%m-%dT%H:%M}-0500,{air_c(hour):.1f},<0>,80,<0>,{1013 + hour % 3},<0>,{2 + hour % 3},<0>,10,"
            f"<1> (CSM),{rain_mm(hour) / 4:g},<0>,,<-1>"
        )
    return "\n".join(lines) + "\n"


def uci_text() -> str:
    """Wind of 2 m/s, adding up; the direction turns every ten hours."""
    lines = [UCI_HEADER]
    for hour in range(HOURS):
        day = FIRST + timedelta(hours=hour)
        cells = [hour + 1, day.year, day.month, day.day, day.hour, 1, "NA", 5, 60.5, 1015, round(air_c(hour)),
                 ("NE", "SE")[hour // 10 % 2], 2 * (hour % 10 + 1), rain_mm(hour), 0]  # fmt: skip
        lines.append(",".join(str(cell) for cell in cells))
    return "\n".join(lines) + "\n"


def merra_text(*, more: str = ",T2MDEW_degC,PRECTOTCORR_mm") -> str:
    """Wind at 50 m; humidity and rain added unless `more` is empty."""
    lines = [MERRA_HEADER + more]
    for hour in range(HOURS):
        day = FIRST + timedelta(hours=hour)
        added = f",5,{rain_mm(hour):g}" if more else ""
        lines.append(f"{day:%Y-%m-%d %H:%M:%S},{8 + hour % 3},200,{air_c(hour):.2f},{1013 + hour % 3}{added}")
    return "\n".join(lines) + "\n"


def dwd_text() -> str:
    """Newest first, German numbers."""
    heads = [";".join(cells) for cells in zip(*DWD_COLUMNS, strict=True)]
    lines = []
    for hour in reversed(range(HOURS)):
        day = FIRST + timedelta(hours=hour)
        cells = [f"{day:%d.%m.%y}", f"{day:%H:%M}", "5,5", f"{air_c(hour):.1f}".replace(".", ","), str(10 + hour % 5),
                 "---", f"{rain_mm(hour):g}".replace(".", ","), f"{1013 + hour % 3},5"]  # fmt: skip
        lines.append(";".join(cells))
    return "\n".join([*heads, *lines]) + "\n"


def asos_text() -> str:
    """Airport reports of one station."""
    lines = [ASOS_HEADER]
    for hour in range(HOURS):
        day = FIRST + timedelta(hours=hour)
        lines.append(
            f"QAY,2022,{day.month},{day.day},{day.hour},{50 + hour % 5},41.0,71.2,160.0,3.4,3.9,"
            f"{rain_mm(hour) / 25.4:.4f},1014.2,6.0,-"
        )
    return "\n".join(lines) + "\n"


SAMPLES: dict[str, str] = {
    "EPW": epw_text(hours=HOURS),
    "airport reports": asos_text(),
    "TMY3": tmy3_text(),
    "KNMI hourly": knmi_text(),
    "Met Éireann hourly": met_eireann_text(),
    "NERRS weather station": nerrs_text(),
    "UCI data set 394": uci_text(),
    "MERRA-2 for wind": merra_text(),
    "DWD latest observations": dwd_text(),
    "boottop CSV": text(rows(HOURS)),
}
STATIONS = {"KNMI hourly": "Pier"}
