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
CLEANING_CHEMICALS = (
    "Cleaners and solvents burn skin, eyes and lungs, and the vapour of many is lit by a spark. "
    "Goggles, gloves and through draught; never put petrol or any liquid that burns into an ultrasonic bath, "
    "and never mix cleaners."
)
COMPRESSED_AIR = (
    "Compressed air drives dirt into eyes and air under the skin. "
    "Goggles; never point it at anybody, and never spin a bearing with it: it bursts."
)
FIBRES = (
    "Old brake and clutch linings may hold asbestos, which causes cancer years later. "
    "Never blow, brush or sand them dry: wet the dust, wipe it up, bag the rag, wear a P3 mask."
)
BRAKE_FLUID = (
    "Brake fluid blinds, and dissolves paint. Goggles and gloves, rinse splashes with much water at once; "
    "fluid of one kind only, from a sealed bottle, and never into a system whose seals are of the other kind."
)
BLASTING = (
    "Blasting dust scars the lungs, and grit left in an oilway or a brake destroys it. "
    "Mask and closed cabinet, never quartz sand; plug every bore first and wash every passage out afterwards."
)
PAINT_MIST = (
    "Paint mist and solvent vapour burn and poison; hardeners with isocyanates cause asthma that stays. "
    "Two-pack paint only with air-fed breathing gear or by a painter; no flame, no heater that glows, through draught."
)
LIFTING = (
    "A bike or an engine that falls crushes feet and hands. "
    "Strap it to something that cannot move, chock the wheel that stays down, and never reach under what hangs."
)
SPRING_LOAD = (
    "A spring under load throws its cap with enough force to break a face. "
    "Take the load off first, keep the face out of its line, and hold the cap down over its last threads."
)
HOT = "Hot metal burns through gloves. Use tongs or thick dry leather, and keep water off hot parts and oil."
FIRST_RIDE = (
    "On a first ride anything may come loose. Insured and allowed where you ride, full protective clothing, dry road, "
    "no traffic, walking pace until both brakes are proven; someone knows where you are. " + NO_APPROVAL
)
