"""The smallest shop that quotes, all of it invented: two wires, three terminals, one body with two screws, and what goes with them.

What follows a standard: pins of 8 mm with a head of 14 mm and a cotter of 2 mm (ISO 2341), the thread (ISO 261), metallic areas (19/25 of the circle).
"""

from __future__ import annotations

from pathlib import Path

from pricing.catalogue.tables import TABLES

SOURCE = "invented for tests"
DAY = "2026-01-01"
SHANK = "shank_before,bore,shank_after,swaged_length"
END = "pin,hole,tip,jaw,jaw_over,tongue,thread,hand,thread_length,plain_tip"
SHOP: dict[str, list[str]] = {
    "edition": ["name,day", "A bench of one,2026-01-01"],
    "wires": [
        "sku,name,construction,material,diameter,plus,minus,break,mass,metallic,modulus,expansion,least_coil,scrap,bought",
        "W4,Wire 4 mm 1x19,1x19,316,4 mm,0.2 mm,0 mm,14.2 kN,7.8 kg/100m,9.55 mm2,105 GPa,16 um/m/K,500 mm,4,for_stock",
        "W5,Wire 5 mm 1x19,1x19,316,5 mm,0.2 mm,0 mm,22.2 kN,12.2 kg/100m,14.92 mm2,105 GPa,16 um/m/K,600 mm,4,for_stock",
    ],
    "terminals": [
        f"sku,name,family,attachment,constructions,wire_sizes,reach,depth,growth,growth_u,{SHANK},{END},ball,slot,break,mass",
        "F5,Fork for 5 mm,fork,swage,1x19,5 mm,75 mm,48 mm,,0.5 mm,9.5 mm,5.3 mm,8.4 mm,45 mm,8 mm,8.3 mm,7 mm,9 mm,18 mm,,,,,,,,24 kN,75 g",
        "E4,Eye for 4 mm,eye,swage,1x19,4 mm,58 mm,40 mm,,0.5 mm,7.9 mm,4.3 mm,7.0 mm,37 mm,8 mm,8.3 mm,7 mm,,,7 mm,,,,,,,16 kN,45 g",
        "S5,Stud M8 for 5 mm,stud,swage,1x19,5 mm,125 mm,48 mm,,0.5 mm,9.5 mm,5.3 mm,8.4 mm,45 mm,,,,,,,M8 x 1.25,right,62 mm,2 mm,,,24 kN,70 g",
    ],
    "threads": ["designation,diameter,pitch", "M8 x 1.25,8 mm,1.25 mm"],
    "turnbuckle_bodies": [
        "sku,name,body,thread,length,stud_hand,locknut,safe_engagement,break,mass,boss",
        "B8,Body M8,open,M8 x 1.25,100 mm,right,0 mm,9 mm,28 kN,120 g,5 mm",
    ],
    "screws": [
        "sku,name,thread,hand,end,thread_length,plain_tip,runout,pin,hole,tip,jaw,jaw_over,break,mass",
        "SF,Screw with fork M8 left,M8 x 1.25,left,fork,60 mm,2 mm,22 mm,8 mm,8.3 mm,7 mm,9 mm,18 mm,28 kN,85 g",
        "ST,Screw with toggle M8 left,M8 x 1.25,left,toggle,60 mm,2 mm,32 mm,8 mm,8.3 mm,7 mm,9 mm,18 mm,28 kN,115 g",
    ],
    "links": ["sku,name,kind,length,inner_hole,pin,hole,tip,jaw,break,mass"],
    "pins": [
        "sku,name,diameter,grip,head,cotter,double_shear,mass",
        "P12,Pin 8 mm grip 12,8 mm,12 mm,14 mm,2 mm,40 kN,8 g",
        "P20,Pin 8 mm grip 20,8 mm,20 mm,14 mm,2 mm,40 kN,11 g",
    ],
    "cotters": ["sku,name,diameter,length,mass", "C2,Cotter 2 mm,2 mm,20 mm,1 g"],
    "thimbles": ["sku,name,wire_sizes,groove_radius,crown_radius,crown_to_sleeve,mass"],
    "sleeves": ["sku,name,constructions,wire_sizes,pressed_length,per_eye,gap,tail,holds,mass"],
    "balls": ["sku,name,wire_sizes,ball,slot,mass"],
    "labour": [
        "sku,name,operation,over,up_to,time",
        "L1,Swage,swage,0 mm,6 mm,6 min",
        "L2,Compression terminal,compression,0 mm,6 mm,15 min",
        "L3,Press,press,0 mm,6 mm,3 min",
        "L4,Ball stop,stop,0 mm,6 mm,4 min",
        "L5,Assemble,assembly,0 mm,6 mm,5 min",
        "L6,Proof pull,proof_pull,0 mm,6 mm,15 min",
        "L7,Tag,tag,0 mm,6 mm,1 min",
    ],
    "prices": [
        "sku,unit,from_day,from_quantity,unit_price",
        *(f"{sku},m,{DAY},0,{price}" for sku, price in (("W4", "4.20"), ("W5", "6.10"))),
        *(
            f"{sku},each,{DAY},1,{price}"
            for sku, price in (
                ("F5", "29.00"), ("E4", "21.00"), ("S5", "24.50"), ("B8", "42.00"), ("SF", "34.00"), ("ST", "49.00"), ("P12", "3.90"), ("P20", "4.30"),
                ("C2", "0.30"), ("L1", "7.50"), ("L2", "18.00"), ("L3", "4.50"), ("L4", "5.00"), ("L5", "6.00"), ("L6", "18.00"), ("L7", "2.00"),
            )
        ),
    ],
    "price_lists": ["price_list,group,from_day,percent", f"retail,wire,{DAY},0"],
    "tax": ["group,category,from_day,rate", *(f"{group},S,{DAY},25" for group in ("wire", "fitting", "labour", "waste", "freight", "order"))],
    "freight": ["up_to_mass,up_to_coil,price,from_day", f"10 kg,1000 mm,18.00,{DAY}"],
    "terms": [
        "key,value,unit,from_day",
        *(
            f"{key},{value},{unit},{DAY}"
            for key, value, unit in (
                ("currency", "EUR", ""), ("validity_days", "30", "day"), ("lead_time_days", "10", "day"), ("centred_share", "0.55", ""),
                ("waste_policy", "measured", ""), ("waste_percent", "5", "%"), ("scrap_cap_percent", "8", "%"), ("cut_allowance", "3", "mm"),
                ("minimum_remnant", "1", "m"), ("touch_cost", "2.00", ""), ("opening_cost", "5.00", ""), ("remnant_fee", "3.00", ""), ("tolerance", "3", "mm"),
                ("reading_limit", "6", "mm"), ("pair_limit", "10", "mm"), ("minimum_order", "30.00", ""), ("stop_clearance_diameters", "10", ""),
                ("bedding_in_percent", "0.05", "%"), ("inch_resolution", "1", "mm"), ("metric_resolution", "1", "mm"), ("shop_timezone", "Europe/Copenhagen", ""),
                ("seller", "A bench of one", ""),
            )
        ),
    ],
    "spools": ["id,wire,length,price,from_day", f"R4,W4,100 m,230.00,{DAY}", f"R5,W5,100 m,335.00,{DAY}"],
    "stock": ["id,wire,kind,length,price,price_per_metre,count,touch", "X5,W5,opened,42 m,,3.35,1,"],
}  # fmt: skip


def bench(folder: Path, **more: list[str]) -> Path:
    """Write the shop's tables to a folder that is made; `more` are rows, without their source, added to a table."""
    folder.mkdir()
    files = {table.kind: table.file for table in TABLES}
    for kind, lines in {**{kind: [] for kind in more}, **SHOP}.items():
        header, *rows = [*lines, *more.get(kind, ())]
        text = "\n".join([f"{header},source", *(f"{row},{SOURCE}" for row in rows)])
        (folder / files[kind]).write_text(f"{text}\n", encoding="utf-8")
    return folder
