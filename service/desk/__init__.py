"""The shop's desk: pages for counter, bench and owner of the shop.

A thin front end: its pages read and change everything through calls of the API (`calls.py`), on behalf of whoever is signed in, and never
reach the engine or the stored quotes by another way. They work without scripts.
"""

from __future__ import annotations

from service.desk.bench import bench
from service.desk.bench_built import bench_built
from service.desk.bench_cuts import bench_cuts
from service.desk.bench_stock import bench_stock
from service.desk.figures import figures
from service.desk.find import find
from service.desk.fleets import fleets
from service.desk.home import home
from service.desk.own_lines import own_lines
from service.desk.quote import quotes
from service.desk.quote_steps import quote_steps
from service.desk.revise import revise
from service.desk.sign_in import sign_in_pages
from service.desk.staff import people
from service.desk.tables import tables
from service.desk.terms import terms

BLUEPRINTS = (
    sign_in_pages,
    home,
    find,
    people,
    bench,
    bench_built,
    bench_cuts,
    bench_stock,
    tables,
    quotes,
    quote_steps,
    own_lines,
    revise,
    figures,
    fleets,
    terms,
)
