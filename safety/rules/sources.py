"""Where the published facts come from: the keys of the tables' source column, written out for a printed page."""

# Each title carries the date or edition of the text, so that a reader can tell how old the fact is.
TITLES = {
    "clp-annex-ii": "Regulation (EC) 1272/2008, Annex II",
    "clp-annex-iii": "Regulation (EC) 1272/2008, Annex III",
    "clp-annex-iv": "Regulation (EC) 1272/2008, Annex IV",
    "clp-annex-vi": "Regulation (EC) 1272/2008, Annex VI, Table 3, to Regulation (EU) 2021/849",
    "clp-atp-20": "Regulations (EU) 2023/1434 and 2023/1435",
    "clp-atp-21": "Regulation (EU) 2024/197",
    "eu-2023-707": "Regulation (EU) 2023/707",
    "un-ghs-annex-3": "UN GHS, Annex 3",
    "hcis": "Safe Work Australia, Hazardous Chemical Information System, about 2022",
    "iarc": "IARC Monographs, volume as named",
    "iarc-131": "IARC Monographs, Volume 131 (2023)",
    "ntp-roc": "US National Toxicology Program, 15th Report on Carcinogens (2021)",
    "prop-65": "California Proposition 65 list",
    "29-cfr-1910.1003": "29 CFR 1910.1003",
    "29-cfr-1910.1018": "29 CFR 1910.1018",
    "29-cfr-1910.1025": "29 CFR 1910.1025",
    "29-cfr-1910.1026": "29 CFR 1910.1026",
    "29-cfr-1910.1027": "29 CFR 1910.1027",
    "29-cfr-1910.1053": "29 CFR 1910.1053",
    "29-cfr-1910.1000": "29 CFR 1910.1000, Tables Z-1 and Z-2",
    "29-cfr-1910.1048": "29 CFR 1910.1048",
    "16-cfr-1303": "16 CFR 1303",
    "16-cfr-1500.14": "16 CFR 1500.14",
    "15-usc-1277": "15 USC 1277",
    "27-ccr-prop-65": "27 CCR 25705 and 25805",
    "ca-education-code": "California Education Code 32060 to 32066",
    "niosh-npg": "NIOSH Pocket Guide to Chemical Hazards",
    "niosh-2013-128": "NIOSH, Criteria Document 2013-128",
    "niosh-cib-63": "NIOSH, Current Intelligence Bulletin 63 (2011)",
    "dir-2000-39": "Directive 2000/39/EC",
    "dir-2004-37": "Directive 2004/37/EC, Annex III",
    "dir-2017-164": "Directive (EU) 2017/164",
    "dir-2024-869": "Directive (EU) 2024/869",
    "uk-eh40": "HSE EH40/2005",
    "uk-coshh": "COSHH Regulations 2002",
    "reach-articles": "Regulation (EC) 1907/2006, Articles 31 to 33",
    "reach-xiv": "Regulation (EC) 1907/2006, Annex XIV",
    "reach-xvii": "Regulation (EC) 1907/2006, Annex XVII",
    "reach-candidate-list": "ECHA Candidate List, date as named",
    "ec-2015-10-28": "European Commission, 28 October 2015",
    "eu-courts-tio2": "General Court T-279/20 (2022), Court of Justice C-71/23 P and C-82/23 P (2025)",
    "rivm-2018": "RIVM, review of chromium(VI) compounds, 2018",
    "ilo-c013": "ILO Convention 13 (1921)",
    "icsc-0361": "International Chemical Safety Card 0361 (2004)",
    "hsdb": "Hazardous Substances Data Bank, d-limonene",
    "ntp-1991": "US National Toxicology Program, Chemical Repository, acetone (1991)",
    "fire-guidance": "general fire guidance on oily rags, no one text",
    "handbook": "common practice, no source",
    "inventories": "national chemical inventories",
}


def cite(source: str, confidence: str = "") -> str:
    """Write out a source cell ("iarc;clp-annex-vi"); a key not known here is printed as it stands."""
    keys = [key.strip() for key in source.split(";") if key.strip()]
    named = "; ".join(dict.fromkeys(TITLES.get(key, key) for key in keys)) or "source not recorded"
    if confidence == "from memory":
        return f"{named}; from memory, check"
    if confidence == "common practice" and "handbook" not in keys:
        return f"{named}; not checked against it here"
    return named
