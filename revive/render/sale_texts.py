"""Fixed words of a sale sheet: photographs, what to hand over, cautions. No warranty words; consumer law differs."""

OPENING = (
    "What follows states what was looked at, by whom and when. It makes no promise. Whatever is not named was not "
    "looked at. Local law governs."
)
PARTS_OF_IT = (
    "Three parts: the description to publish, the evidence sheet that goes with the machine, and notes for the seller. "
    "Nothing here says more than the record proves. What was only assumed for the plan proves nothing."
)
HAZARDS = (
    "Petrol and its vapour burn. Say whether the tank, the bowls and the hoses are empty. Most carriers and ferries "
    "refuse petrol in the tank: ask the carrier.",
    "Battery: off the machine, upright, poles covered. Acid and lithium have transport rules of their own.",
    "Sharp edges, loose parts and a stand that may give way: gloves, straps, two people for lifting.",
)
BORES_OILED = "Oil was put into the bores: take the plugs out before anything turns the engine, or it may bend a rod."
NO_TRIAL = "No buyer tries the starter, kicks, pushes or rides it. It is not run unprimed to please anybody."
HAND_OVER = (
    "The plan with ticks, dates and names, and the list of assumed answers.",
    "The record file, with the older answers in it.",
    "The stops, and for each what cleared it or that it stands.",
    "The readings with the tools that were used.",
    "The photographs, on a stick or card.",
    "Old filter in a bag, oil samples in sealed marked jars, magnet rag. Small amounts; waste rules apply.",
    "Invoices for parts and shop work; the workshop's written answers on crank work.",
    "The list of figures that stood in for the maker's manual.",
    "A note on how it is preserved: what oil is in bores and case, what is plugged, what must come out before turning.",
    "Keys, manual, papers, receipt for the sale.",
    "Waste receipts where local rules ask for them.",
)
CAUTIONS = (
    "Sale, consumer, data and road law differ by country, and by whether the seller trades. Local law governs; ask "
    "where in doubt. Nothing here is legal advice.",
    "In some lands it is an offence to supply a machine that is unfit for the road, unless it is made clear in writing "
    "that it is not for road use and steps are taken that it is not used so.",
    "A disclaimer does not undo a false statement. Words such as sold as seen do not cover a fault that was known and "
    "hidden.",
    "No warranty words. Write was, on, by, seen, measured, not looked at.",
    "An unprimed engine is not run to please a buyer. No buyer tries the starter, kicks or pushes: a start without oil "
    "wrecks it, and a runaway or a fire hurts people.",
    "No petrol in the tank if it goes by carrier. Batteries, asbestos parts and used oil have transport and waste rules "
    "of their own.",
    "Cover names, addresses and full numbers in public photographs: thieves use them.",
    "Test ride only with the road gate open, insurance and licence seen, local law met. With that gate shut there is no "
    "test ride.",
    "A machine with unsettled ownership or altered numbers is not sold. Go to the authority.",
)
LAW_SOURCES = ("gb-road-traffic-act-1988-75", "gb-trading-standards-unroadworthy", "gb-consumer-rights-act-2015")
WHY_NOT = {
    "never": "not used by anybody: no record can prove it",
    "forbidden": "a finding on record speaks against it",
    "unsure": "a fault that would speak against it was not ruled out",
    "not_shown": "not shown by what was seen",
    "not_kept": "seen, but the evidence is not on record as kept",
}
PHOTO_RULE = "Each with the date and the plan number on a card, in plain light, without a filter."
PHOTOGRAPHS: tuple[tuple[str, str, str], ...] = (
    ("left side, whole", "stance, stand, all parts in place", ""),
    ("right side, whole", "the same from the other side", ""),
    ("front, level", "forks and wheel in line", ""),
    ("rear, level", "wheel, frame tail, lamp", ""),
    ("where it stood", "floor, roof, damp, before it was moved", ""),
    ("floor under it", "leak marks, a ruler beside them", ""),
    ("frame number", "sharp, in place, uncleaned and cleaned; covered in public", ""),
    ("engine number", "the same; covered in public", ""),
    ("instrument dial", "distance, glass", ""),
    ("papers laid out", "which are there, private data covered", ""),
    ("tyre date code, front", "the whole code, readable", ""),
    ("tyre date code, rear", "the same", ""),
    ("tyre walls and tread", "cracks with a ruler", ""),
    ("engine left and right", "joints, sealant, weeping, fins", ""),
    ("engine from below", "drain plug, cracks, sump edge", ""),
    ("oil sample", "jar against white paper: first flow, the rest, the layer after a night", "recirculating"),
    ("drain plug tip or magnet", "on a white rag, with a ruler", "recirculating"),
    ("old filter cut open", "fan of paper, ruler, anything that shines", "has_sump_filter"),
    ("sump floor and strainer", "before and after cleaning", "recirculating"),
    ("plugs in a row", "cylinder numbers beside them", ""),
    ("each bore through the plug hole", "cylinder number in the name of the file", ""),
    ("under the rocker or cam cover", "oil, rust, sludge, both sides", "poppet_engine"),
    ("priming", "oil running at each point, or the gauge with its needle; a short film counts", "recirculating"),
    ("tank inside", "by daylight, empty and aired, no flash or lamp near vapour", ""),
    ("float bowl or injector rail", "gum, corrosion; again after cleaning", ""),
    ("brakes open", "linings or pads with a ruler, pistons", ""),
    ("brake hose date print", "readable", "hydraulic_brakes"),
    ("wiring joints and fuse", "under the seat and at the tank edge", ""),
    ("battery tray", "rust, acid", ""),
    ("running, if it ran", "clock, gauge, exhaust; a film of 30 s from cold", ""),
    ("gauge readings", "compression, leak-down, voltage, with the scale", ""),
    ("faults", "each known fault once close and once from a step back", ""),
    ("parts in boxes", "what comes with it", ""),
)
"""What to photograph, what it must show, and the yes-or-no fact without which it is left out."""
SIGNATURES = (
    "Written from the record by the seller. Date, name, signature: ______________________________",
    "The buyer has read what it is not for, the open stops, and what was not done and not looked at. Date, name, "
    "signature: ______________________________",
)
UNSURE = {
    "not-safe-to-turn": "whether the engine is safe to turn",
    "oil-system-not-ready": "whether the oil system is clean and primed",
    "bearing-trouble": "signs of bearing, gear or piston trouble",
    "liquid-or-petrol": "petrol or other liquid where it should not be",
    "open-stop-engine": "an open stop on the engine",
    "open-stop-electrics": "an open stop on electrics, controls or leaks",
    "open-stop-chassis": "whether it is safe to move",
    "start-tried": "whether somebody turned or started it since it was parked",
    "flooded": "whether it stood in flood water",
    "crash-or-frame": "signs of a crash or frame damage",
    "corrosion": "corrosion of frame and engine case",
    "case-broken": "whether the engine case is whole",
    "distance-unknown": "the true distance",
    "papers-missing": "missing papers",
    "ownership-unsettled": "whether the ownership is settled",
    "numbers-unsettled": "whether the numbers agree with the papers",
    "engine-changed": "whether it is the first engine",
    "tyres-old": "the age of the tyres",
    "fault-when-parked": "faults from before it was parked",
    "unknown-hands": "work on the engine without record",
    "bores-or-sealing-poor": "the state of bores and sealing",
    "metal-or-sealant-found": "metal or sealant in oil and filter",
    "water-or-petrol-in-oil": "water or petrol inside the engine",
    "running-faults": "faults while running",
    "oil-pressure-low": "the oil pressure",
    "engine-findings": "findings inside the engine",
    "gears-and-clutch": "gearbox, drive and clutch",
    "wiring-unsound": "the wiring",
    "cooling-faults": "the cooling system",
    "asbestos": "whether linings, plates and gaskets hold asbestos",
    "leaded-seats": "whether the valve seats need leaded petrol",
    "tank": "the inside of the tank",
    "parts-missing": "missing parts",
    "fallback-figures": "whether figures stood in for the maker's manual",
    "evidence-thrown-away": "whether samples and photographs were kept",
    "rubber-and-dampers": "fork seals, springing and brake hoses",
    "rodents": "whether rodents have been in it",
    "oil-seen-by-hand-only": "oil seen when it was turned by hand",
}
"""What a disclosure is about, where nobody can say whether it is so."""
