"""Usual cautions for those who build and measure. All of them are common practice."""

CAUTIONS = (
    "Sawing, sanding, gluing: dust mask, fresh air, eyes and ears protected, fingers clear.",
    "Heavy cabinets: lift with two people; make sure that a stand or a tall box cannot tip.",
    "First sweeps: start very quiet, raise slowly; hearing protection for long loud ones.",
    "A tweeter driven without its crossover by a full-range sweep is soon a dead one.",
    "Amplifiers hold mains voltage, and charge after the plug is out: leave them closed.",
    "These are usual cautions; local codes and licensed practice decide.",
)

OF_SWEEPS = (
    "Quiet first: begin 40 dB down, see that all channels show what they should, then raise.",
    "A tweeter's sweep begins at its resonance, not below, and far quieter than a woofer's. A "
    "capacitor in series keeps a slip of the hand from it, 10 to 50 uF while levels are set; what "
    "is measured with it has its part in it.",
    "Hearing: leave the room or wear ear protection; a sweep is louder than it seems at its ends.",
    "An amplifier's output never goes into an interface's input without an attenuator; of a "
    "bridged one no terminal may meet the interface's ground.",
    "Stop at any buzz or smell: a cone at its limit or a hot coil is soon a dead one.",
)

OF_CHECKING = (
    "Amplifier off and unplugged before you touch leads or parts; give capacitors, which hold "
    "charge, a minute or a resistor. An amplifier itself holds mains voltage: leave it closed.",
    "Measure quietly at first; hearing protection, or out of the room, while sweeps are loud. A "
    "tweeter wants its capacitor whenever it plays alone.",
)

OF_PASSIVE_PARTS = (
    "Capacitors hold their charge after the music stops: let them discharge through a resistor "
    "before you touch or move parts.",
    "Resistors and coils of a crossover get hot: away from wood, fibre and cables, with air round.",
)

OF_WIRING = (
    "Coils apart from each other and at right angles, so that they do not couple: what one sends "
    "out, the other would play. Away from the drivers' magnets and from steel too.",
    "Check every joint against the wiring table, and the polarity of every driver, before the "
    "amplifier is joined for the first time. Measure the resistance between its two terminals: "
    "a short shows there, and not yet in the amplifier.",
    "First power quiet: raise slowly, listen to each driver, feel for parts that get hot (power "
    "off first).",
    "Give a tweeter a capacitor in series at first, 10 to 50 uF, until the crossover has proved "
    "itself: a wrong joint then costs no tweeter.",
)

OF_BOARDS = (
    "Dust of fibreboard and plywood harms lungs, hardwood's most: saw and sand with extraction and "
    "a well-fitting dust mask, outside if you can, and sweep nothing up dry.",
    "At the saw: eyes and ears protected, guards on, no gloves, a push stick for narrow pieces; "
    "cut braces from a strip that can still be held, not from an off-cut. Or have the sheets cut.",
    "A sheet is heavy and large: two people to carry and to feed it.",
    "Glue, solvents, paint: fresh air, gloves, no flame; read what is on the tin.",
    "Mineral and glass wool: gloves, long sleeves, mask and glasses while you cut them, and cloth "
    "in front of them, so that no port blows fibres out.",
    "Lift the finished cabinet with two people. A tall one must not tip: a wide foot, or fixed to "
    "the wall. On a wall or from a ceiling only on fixings made and rated for that.",
)
