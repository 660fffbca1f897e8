"""A small catalog of its own, as the text of its CSV files."""

from pathlib import Path

from catalog.csv_files import load
from catalog.store import open_catalog

PANEL = (
    "part,name,length_mm,width_mm,height_mm,kg,stc_w,voc_v,isc_a,vmp_v,imp_a,voc_pct_per_c,"
    "pmax_pct_per_c,max_system_v,series_fuse_a\n"
    "panel-100,100 W panel,1000,500,30,6.5,100,22.3,5.8,18.6,5.38,-0.27,-0.35,600,15\n"
    "panel-200,200 W panel,1500,680,30,11.2,200,24.1,10.6,20.2,9.9,,-0.35,600,20\n"
)
CONTROLLER = (
    "part,name,length_mm,width_mm,height_mm,kg,kind,battery_v,max_pv_v,max_pv_a,headroom_v,"
    "max_charge_a,efficiency_pct,own_w\n"
    "mppt-20,MPPT 20 A,130,186,70,1.3,mppt,12;24,100,,5,20,97,0.4\n"
    "pwm-10,PWM 10 A,90,140,40,0.3,pwm,12,50,10,0,10,99.5,0.1\n"
)
LUG = (
    "part,name,length_mm,width_mm,height_mm,kg,area_mm2,stud,kind\n"
    "lug-35-m8,Lug 35 mm² M8,,,,0.018,35,M8,tube\n"
    "lug-16-516,Lug 16 mm² 5/16 in,,,,0.011,16,5/16 in,tube\n"
)
CABLE = (
    "part,name,length_mm,width_mm,height_mm,kg,use,area_mm2,ohm_per_km_20c,size,insulation_c,"
    "outer_mm,colour\n"
    'cable-35-red,"Cable, fine strands",,,,0.39,battery,35,0.554,35 mm2,105,11.6,red\n'
)
CONDUIT = (
    "part,name,length_mm,width_mm,height_mm,kg,kind,inner_mm,outer_mm\n"
    "conduit-20,Conduit 20 mm,,,,0.1,corrugated,15,20\n"
)
HOLDER = (
    "part,name,length_mm,width_mm,height_mm,kg,kind,rated_a,max_v,breaking_ka,stud,holder,ways\n"
    "holder-1,Holder,80,30,40,0.08,ISO 8820-3 medium blade,30,32,,,,1\n"
)
FUSE = (
    "part,name,length_mm,width_mm,height_mm,kg,kind,rated_a,max_v,breaking_ka,stud,holder\n"
    "fuse-20,Fuse 20 A,,,,0.002,ISO 8820-3 medium blade,20,32,1,,holder-1\n"
)
TOOL = (
    "part,name,length_mm,width_mm,height_mm,kg,does,from_mm2,to_mm2,wears\n"
    "crimper,Crimping tool,,,,2.1,crimp tube lugs,10,120,false\n"
)
SUPPLIERS = (
    "supplier,name,currency,shipping,free_over,lead_days\n"
    "north,Supplier North (invented),EUR,9.90,150,3\n"
    "south,Supplier South (invented),USD,14.50,,8\n"
)
OFFERS = (
    "part,supplier,pack,unit,length_m,from_quantity,price,lead_days,stock\n"
    "panel-100,north,1,each,,1,79.00,,12\n"
    "panel-100,north,1,each,,4,75.50,,12\n"
    "panel-200,south,1,each,,1,120,2,\n"
    "mppt-20,north,1,each,,1,109.95,,\n"
    "lug-35-m8,north,10,each,,1,8.125,,\n"
    "cable-35-red,north,1,m,,1,7.30,,\n"
    "cable-35-red,north,1,spool,25,1,165.00,,4\n"
    "conduit-20,south,2.5,m,,1,3.10,,\n"
    "fuse-20,north,5,each,,1,1.99,,\n"
)

FILES = {
    "panel": PANEL,
    "controller": CONTROLLER,
    "lug": LUG,
    "cable": CABLE,
    "conduit": CONDUIT,
    "holder": HOLDER,
    "fuse": FUSE,
    "tool": TOOL,
    "suppliers": SUPPLIERS,
    "offers": OFFERS,
}


def write(folder: Path, **texts: str | bytes) -> Path:
    """A folder with these files: the texts by the stems of their names."""
    folder.mkdir(parents=True, exist_ok=True)
    for stem, text in texts.items():
        data = text.encode() if isinstance(text, str) else text
        (folder / f"{stem}.csv").write_bytes(data)
    return folder


def small_catalog(folder: Path) -> Path:
    """A database of the small catalog."""
    path = folder / "small.sqlite"
    with open_catalog(path, create=True) as catalog:
        load([write(folder / "small", **FILES)], catalog)
    return path
