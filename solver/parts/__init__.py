"""The part classes: one module each, all known by importing this package."""

from __future__ import annotations

from solver.parts.base import CLASSES, DEVICE_CLASSES, STUDS, Part
from solver.parts.battery import Battery
from solver.parts.breaker import Breaker
from solver.parts.busbar import Busbar
from solver.parts.cable import Cable
from solver.parts.charger import Charger
from solver.parts.combiner import Combiner
from solver.parts.comm_cable import CommCable
from solver.parts.conduit import Conduit
from solver.parts.conduit_fitting import ConduitFitting
from solver.parts.connector import Connector
from solver.parts.consumable import Consumable
from solver.parts.controller import Controller
from solver.parts.converter import Converter
from solver.parts.device import Device
from solver.parts.fastener import Fastener
from solver.parts.ferrule import Ferrule
from solver.parts.fuse import Fuse
from solver.parts.gland import Gland
from solver.parts.grommet import Grommet
from solver.parts.holder import Holder
from solver.parts.inverter import Inverter
from solver.parts.label import Label
from solver.parts.lug import Lug
from solver.parts.monitor import Monitor
from solver.parts.mounting import Mounting
from solver.parts.panel import Panel
from solver.parts.pv_inlet import PvInlet
from solver.parts.sealant import Sealant
from solver.parts.sleeve import Sleeve
from solver.parts.socket import Socket
from solver.parts.switch import Switch
from solver.parts.tool import Tool
from solver.parts.vent import Vent

__all__ = [
    "CLASSES",
    "DEVICE_CLASSES",
    "STUDS",
    "Battery",
    "Breaker",
    "Busbar",
    "Cable",
    "Charger",
    "Combiner",
    "CommCable",
    "Conduit",
    "ConduitFitting",
    "Connector",
    "Consumable",
    "Controller",
    "Converter",
    "Device",
    "Fastener",
    "Ferrule",
    "Fuse",
    "Gland",
    "Grommet",
    "Holder",
    "Inverter",
    "Label",
    "Lug",
    "Monitor",
    "Mounting",
    "Panel",
    "Part",
    "PvInlet",
    "Sealant",
    "Sleeve",
    "Socket",
    "Switch",
    "Tool",
    "Vent",
]
