"""The kinds of finding about a circuit."""

from wattwright.core.findings import Severity, define

PROVISIONAL = define(
    "gear.circuit-provisional",
    Severity.LOOK,
    says="The answer is provisional: {count:count} things are to be asked on site, and {rules:count} rules were not checked.",
    why="What nobody measured or read was taken on the careful side, or left open; it was not guessed.",
    do="Ask what is listed, then work the circuit out again with the answers.",
    source="",
)
RESIDUAL = define(
    "gear.circuit-residual",
    Severity.LOOK,
    says="An RCD of {residual:plain} mA is called for: {why:text}.",
    why="A breaker does not see a current to earth that is small enough to pass through a person.",
    do="Fit it and press its test button. Take type A for plain loads, F before electronics or a drive on one line, B before a "
    "drive, a charger or an inverter that may leak direct current, or as its maker says: others do not trip then.",
    source="IEC 60364-4-41; types of IEC 60755 and IEC 62423; from memory",
)
FAULT_LOOP = define(
    "gear.circuit-fault-loop",
    Severity.LOOK,
    says="At the far end the breaker or fuse alone does not disconnect a fault to earth in time; an RCD of {residual:plain} mA "
    "does.",
    why="The loop of the fault has {loop:number} ohm there, too much for the current that trips it.",
    do="Fit the RCD, or take a larger cable or a quicker curve; measure the loop at the far end before it is used.",
    source="IEC 60364-4-41, 411.4, from memory",
)
TERMINALS = define(
    "gear.circuit-terminals",
    Severity.NOTE,
    says="At its full ampacity of {ampacity:number} A the conductor reaches 90 °C.",
    why="Terminals of breakers, switches and appliances are commonly made for 70 °C.",
    do="Ask what the terminals are made for, or load the cable no more than one of PVC.",
    source="IEC 60364-5-52, 523.1, from memory",
)
TWO_LINES = define(
    "gear.circuit-two-lines",
    Severity.LOOK,
    says="The appliance lies between two lines: both must be switched and broken together.",
    why="With one pole open the other line still stands on the appliance.",
    do="Use protection of two linked poles, and a contactor of two poles where it is switched.",
    source="common practice, no source",
)
RELAY = define(
    "gear.circuit-relay",
    Severity.LOOK,
    says="The motor needs overload protection of its own: set it to {set:number} A, {most:number} A at most.",
    why="The breaker lets the start pass and so does not see a motor that is loaded a little too much.",
    do="Take a relay whose range holds this value; set it to the plate's current, not to the table's.",
    source="IEC 60947-4-1; NEC 430.32; from memory",
)
WEAK_START = define(
    "gear.circuit-weak-start",
    Severity.LOOK,
    says="While it starts the motor sees {drop:percent} less than its voltage.",
    why="Torque falls with the square of the voltage: {torque:percent} of the starting torque is left.",
    do="Ask whether it starts against a load; then take a larger cable, or a soft starter.",
    source="closed form: torque goes with the square of the voltage",
)
DROP_IS_ADVICE = define(
    "gear.circuit-drop-is-advice",
    Severity.NOTE,
    says="The limit of the voltage drop is advice of the code and not a rule of it.",
    why="The code gives it in a note; a local rule may be tighter.",
    do="Ask the authority, or give the limit that was agreed.",
    source="NEC 210.19(A), informational note",
)
POOL = define(
    "gear.circuit-pool",
    Severity.STOP,
    says="A pool has zones in which equipment is forbidden or must be of safe extra-low voltage.",
    why="Wet skin and earthed water make a small voltage deadly.",
    do="Ask for the zone of the appliance, the bonding of all metal parts, and the degree of protection; have it done by someone "
    "licensed for pools.",
    source="IEC 60364-7-702; NEC Article 680; from memory",
)
BATHROOM = define(
    "gear.circuit-bathroom",
    Severity.STOP,
    says="A bathroom has zones around bath and shower in which equipment is forbidden or must be protected against water.",
    why="Wet skin and earthed taps make a small voltage deadly.",
    do="Ask for the zone of the appliance, its degree of protection (IP), and the supplementary bonding.",
    source="IEC 60364-7-701; NEC 210.8; from memory",
)
HORTICULTURE = define(
    "gear.circuit-horticulture",
    Severity.LOOK,
    says="Stables and greenhouses are wet, corrosive and easily on fire, and animals feel small voltages.",
    why="Damp, fertiliser and rodents eat cables; a stray current through the floor harms stock.",
    do="Ask for the degree of protection, mechanical protection of the cable, bonding where animals stand, and an alarm for air "
    "and heat that life depends on.",
    source="IEC 60364-7-705; NEC Article 547; from memory",
)
OUTDOORS = define(
    "gear.circuit-outdoors",
    Severity.LOOK,
    says="Outdoors cable and appliance stand in sun and rain.",
    why="Sun warms a cable above the air and breaks PVC that is not made for it; water finds every gland.",
    do="Ask for the degree of protection (IP), a cable made for sunlight, and how it enters the ground.",
    source="IEC 60364-5-51; NEC 310.10; from memory",
)
GROUND_FAULT = define(
    "gear.circuit-ground-fault",
    Severity.LOOK,
    says="At this place, or for socket-outlets, the code asks for ground-fault protection for people in many cases.",
    why="A breaker does not see a current to earth that is small enough to pass through a person.",
    do="Look the case up with the authority: receptacles, outdoor outlets, pools, bathrooms, and farm buildings have their own.",
    source="NEC 210.8, 680, 547, from memory",
)
