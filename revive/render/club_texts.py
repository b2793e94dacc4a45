"""Fixed words of the club officer's pack: sign-off lines, the pool, keeping machines apart."""

SIGN_FIRST = (
    "I have read page one and had it explained. I will not turn, crank or start it before the gate is signed open. "
    "Member, date:"
)
SIGN_GATE = 'Evidence for the gate "{gate}" was seen: {evidence}. The gate is open. Member and a named witness, date:'
SIGN_GATE_SKILLED = (
    'Evidence for the gate "{gate}" was seen: {evidence}. The gate is open. Member and a named witness who is skilled, '
    "date:"
)
SIGN_STOP = 'Stop "{stop}" cleared by this finding: ____________________. Cleared by {who}, date:'
SIGN_FIGURES = "{count} stand in for the maker's manual and are accepted. Technical officer, before the work, date:"
SIGN_DAY = "Figures and photographs filed under machine {label}. Member, each working day:"
SIGN_END = "Handed back; plan closed, or laid up again. Member and officer, date:"
SIGN_MEANS = (
    "A signature states what was seen. It does not make the club answerable for the machine; ask the club's insurer."
)
RULED = "____________________"
APART = (
    "One record and one plan for each machine, never one for a batch, even of one model.",
    "The machine's number stands on the frame tag, every page, jar, bag, filter, box, photograph and order line.",
    "Jars and filters are read on the day. A sample without a number is waste, and its gate stays unproven.",
    "Boxes by assembly inside one machine's crate. No shared bench trays. Shims, shells, pushrods, tappets, caps and "
    "plugs in numbered bags by place.",
    "Two machines with the same findings still need two signatures.",
    "A lesson from one machine goes round as a question to the others, not as a finding.",
    "A board in the workshop shows machine, next gate, who holds the task, stops. It is a copy: the record decides.",
    "Each week: a stop that has stood over 30 days sends the machine to be laid up again.",
    "When a plan is made afresh, page one is signed anew. The old print is struck through, dated and kept.",
)
POOL = (
    "Only what is the same in every measure is summed: oil grade and wet-clutch mark, class of brake fluid, bore and "
    "grade of hose, size of washer, rating of fuse. Fits most is not the same.",
    "Oil is bought by machine and rounded up to cans for each grade, not for the club.",
    "Never pooled: filters without a date, tyres, brake hoses, belts, bearing shells, seals, coils, batteries. They are "
    "ordered for one machine, after the old part was seen.",
    "Nothing of rubber or paper stays in the pool past 10 years (from memory; the makers' dates govern). First in, "
    "first out.",
    "Unopened parts go back to the pool only with box, date and part number.",
)
NEVER_MIX = (
    "Glycol brake fluid is never mixed with silicone fluid or mineral oil: seals swell or fail, and the brakes with them.",
    "Castor oil is never mixed with mineral two-stroke oil.",
    "A lithium battery is never put on a charger for lead and acid: it can burn.",
    "Brake cleaner and solvents never go into the drum for old oil.",
)
TOOLS = (
    "Worth sharing: bore camera, oil gauge with adaptors, compression and leak-down testers, meter, earth leads, feed "
    "can, drain trays, paper filters, sample jars, syringe and hose, mask sets, extinguisher, spill kit.",
    "Signed out with a date. Gauges and feed cans are cleaned between machines, so that dirt and the wrong fluid do not "
    "travel.",
)
WASTE = (
    "One marked drum for each kind: oil, brake fluid, coolant, petrol, filters, asbestos bags. Local waste rules govern.",
    "Drained petrol of all machines counts together against what may be kept in one place. Ask before it stands there.",
)
PHONES = ("Fire service", "Technical officer", "Waste site", "Licensed pest and asbestos firms")
