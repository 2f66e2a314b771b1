"""Where the published facts come from: the keys of the fixtures' source column, written out for a printed page."""

import re

# The date is that of the text which was read, so that a reader can tell how old the fact is.
TITLES = {
    "A6": "Regulation (EC) 1272/2008, Annex VI, Table 3, to Regulation (EU) 2021/849",
    "ATP20": "Regulations (EU) 2023/1434 and 2023/1435",
    "ATP21": "Regulation (EU) 2024/197",
    "ATP22": "Regulation (EU) 2024/2564",
    "HCIS": "Safe Work Australia, Hazardous Chemical Information System, about 2022",
    "CURIA": "EU General Court T-279/20 (2022), Court of Justice C-71/23 P and C-82/23 P (2025)",
    "29CFR1910.1000": "29 CFR 1910.1000",
    "29CFR1910.1018": "29 CFR 1910.1018",
    "29CFR1910.1025": "29 CFR 1910.1025",
    "29CFR1910.1026": "29 CFR 1910.1026",
    "29CFR1910.1027": "29 CFR 1910.1027",
    "29CFR1910.1053": "29 CFR 1910.1053",
    "IARC": "IARC Monographs on the Identification of Carcinogenic Hazards to Humans",
    "IARC-131": "IARC Monographs, Volume 131 (2023)",
    "NTP": "NTP Report on Carcinogens, 15th edition (2021)",
    "OEHHA": "California Proposition 65 list (OEHHA)",
    "REACH-XIV": "Regulation (EC) 1907/2006, Annex XIV",
    "REACH-XVII": "Regulation (EC) 1907/2006, Annex XVII",
    "ECHA-CL": "ECHA Candidate List",
    "EC-2015": "European Commission, 28 October 2015",
    "ILO13": "ILO Convention 13 (1921)",
    "RIVM-2018": "RIVM review of chromium(VI) compounds (2018)",
    "NFPA": "NFPA guidance on oily rags",
    "HB": "common practice, no source",
    "INV": "national chemical inventories",
}

_REMARK = re.compile(r"\s*\(.*\)\s*$")


def cite(source: str, confidence: str = "") -> str:
    """Write out a source cell ("A6 (table to ATP 17)", "IARC;A6"); a key not known here is printed as it stands."""
    parts = [_REMARK.sub("", part).strip() for part in source.split(";")]
    named = "; ".join(dict.fromkeys(TITLES.get(part, part) for part in parts if part))
    if not named:
        return "common practice, no source" if confidence == "common practice" else "source not recorded"
    if confidence == "from memory":
        return f"{named}; from memory, check"
    return named
