"""The usual cautions, where work can hurt someone: what can happen, then what to do."""

NO_APPROVAL = (
    "This result does not replace a licensed engineer, a qualified inspection or the vehicle rules of your country."
)
STEERING = (
    "Changed steering geometry can make a machine unstable at speed and cause a crash. "
    "Check clearance at full lock and full travel, and ride slowly, away from traffic, first. " + NO_APPROVAL
)
BRAKES = (
    "A brake that is assembled or matched wrongly can fail without warning. "
    "Renew seals and hoses of unknown age, bleed until the lever is hard, "
    "and prove the brake at walking pace first. " + NO_APPROVAL
)
STRUCTURE = (
    "A part of the frame, fork or wheel that breaks causes a crash. Have welds and machined parts inspected. "
    + NO_APPROVAL
)
PETROL_VAPOUR = (
    "Petrol vapour creeps along the floor and is lit by a spark or a flame far away. "
    "Work outdoors or with through draught, no flame, no switching nearby, battery off, "
    "a fire extinguisher for liquids at hand; wear gloves."
)
CRANKING = (
    "With the plugs out, cranking throws fuel mist from the plug holes, "
    "and an open high-tension lead sparks into it. "
    "Switch the ignition off or earth the leads away from the holes, "
    "shut the fuel off and dry the plug wells first."
)
HIGH_TENSION = (
    "The high-tension side gives shocks that are dangerous to anyone with a heart condition. "
    "Keep hands and tools off leads and caps while the engine turns."
)
BATTERY = (
    "A battery drives hundreds of amps through a dropped spanner and gives off explosive gas while charging. "
    "Take the earth lead off first and put it on last; charge with through draught, away from sparks."
)
RUNNING_INDOORS = (
    "Exhaust gas kills without smell. Run the engine outdoors, or with the exhaust led outside and the doors open."
)
TURNING_PARTS = (
    "A turning chain, sprocket or wheel takes fingers off. Measure with the engine stopped and the plug leads off."
)
