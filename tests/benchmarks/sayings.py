"""What is said in the benchmark: to the assistant (templates filled from the card), and past it (talk).

Written for the benchmark, not drawn from the grammar: people do not speak grammar. A saying that the grammar
cannot read at all is left out by the corpus builder and counted in its report.
"""

COMMANDS = """
next | next step | what comes next | go on | carry on | what's next | what's the next step | continue
done | that's done | done with that | step done | i'm done | that's finished | all done
go back | previous step | one step back | back
repeat that | read the step again | what's the step again | once more | say that again | say again
where am i | what step am i on | where are we | where did we stop
what's left | how much is left | how much longer | what's still to do | how many steps are left
what's open | what's still off | what have i forgotten | have i forgotten anything | list the open items
any cautions | what should i watch out for | read the cautions | what can go wrong
how do i do that | how is that done | show me how | why do i do that | why is that | what's that for | tell me more
which tool do i need | what socket do i need | what do i use for this
it won't come off | i can't get it off | i'm stuck | it's seized | what if it doesn't fit
what's needed | tools for the next section | list the parts | what new parts do i need | list the tools
stop | be quiet | stop talking | louder | quieter | slower | speak faster | keep it short | full answers
scratch that | take that back | undo that | never mind | help | what can i say | can you hear me
pause the job | i'm taking a break | i'm off for lunch | resume the job | i'm back
what time is it | how long have i worked | set a timer for {number} minutes | timer {number} minutes
cancel the timer | how much time is left on the timer | finish the job | the job is done | hand over
no adapter | i took the crowfoot off | go to sleep | who am i | start tightening | who is working
go to step {number} | step {number} | read step {number}
what's the torque for the {fastener} | torque for the {fastener} | how tight are the {fastener}
what torque do the {fastener} need | what do i torque the {fastener} to | {fastener} torque
give me the torque on the {fastener} | how much torque do the {fastener} get | what torque for the {fastener}
what's the order for the {fastener} | {fastener} sequence | in which order do the {fastener} go
what's the tightening order for the {fastener} | what order do i do the {fastener} in
how many {fastener} are there | how many {fastener} | how many passes for the {fastener}
how many stages do the {fastener} get | what size are the {fastener} | what size socket for the {fastener}
what thread are the {fastener} | how long are the {fastener} | what goes on the {fastener}
do the {fastener} go in dry | can i reuse the {fastener} | do i need new {fastener} | must the {fastener} be replaced
torqued the {fastener} to {torque} | {fastener} torqued to {torque} | tightened the {fastener} to {torque}
{fastener} done at {torque} | i torqued the {fastener} to {torque} | {fastener} to {torque}
bolt {position} torqued to {torque} | torqued bolt {position} to {torque} | done up the {fastener} to {torque}
take me through the {fastener} | start with the {fastener} | tighten the {fastener} bolt by bolt | clicked | it clicked
which bolts get {torque} | what is torqued to {torque} | everything over {torque}
i'm on a {length} crowfoot | using a {length} adapter | wrench length is {length}
{measure} is {length} | measured {measure} {length} | {measure} {length} | i measured {measure} at {length}
{measure} reads {length} | i get {length} for {measure} | measured {length} | it reads {length}
what's the limit for the {measure} | {measure} limit | what should the {measure} be | limit for {measure}
what did i measure for {measure} | what was the {measure} | read the readings
what is the {part} | where is the {part} | what does the {part} do | tell me about the {part}
order {part} | we need a {part} | the {part} is cracked | the {part} is worn | the {part} is stuck
i'm using the {tool} | what's a {tool} | with the {tool} | switch to the {tool}
take a note {words} | note that {words} | make a note {words} | skip this step because {words} | skip because {words}
found a fault {words} | take a note on the {part} {words} | skip this step | read my notes
""".strip()
"""Alternatives parted by bars; {slots} are filled by chance from the card and from numbers."""

YES_NO = "yes | no | yes it is | yeah | nope | not yet | that's right | correct | it is | no it isn't | go ahead | i am"
"""Answers, where a yes or no is waited for."""

FIGURES = "{figures} | it's {figures} | {spoken} | {torque}"
"""Answers, where a number is waited for figure by figure."""

WORDS = (
    "the left bracket is bent",
    "there is oil on the rear face",
    "one thread is pulled",
    "the seal looks hard",
    "we are waiting for the part",
    "the rubber has a crack on the inside",
    "somebody rounded the head before",
)
"""What notes and reasons say."""

TALK = """
the weather tomorrow will be {sky} with {sky} spells in the {place} and a high of {count} degrees
and now the news at {count} | the {team} beat the {team} {count} to {count} in the {place} last night
traffic is slow on the ring road near {place} because of {trouble} | that was {artist} with a song from nineteen {count}
call now and save {count} percent on every {goods} | this weekend only at your {goods} store in {place}
did you see the game last night | what did you have for lunch | my {kin} is coming over on {day}
we should go fishing on {day} if it stays {sky} | i told him to bring the {goods} back by {day}
the {vehicle} over there needs {work} before {day} | can you pass me that {thing} when you have a minute
the customer with the {vehicle} called again about the {trouble} | who left the {thing} on the bench
i had to do {count} of those on a {vehicle} last year | the guy from {place} wants his {vehicle} on {day}
put the kettle on will you | is there any {goods} left | have you seen my {thing} anywhere
that {vehicle} has been standing here for {count} weeks | the boss says we have to move the {vehicle} out
they want {count} thousand for it and it has no {thing} | i would not pay more than {count} for that
the delivery from {place} comes at {count} | he went to get {goods} for the {kin}
it was the best of times it was the worst of times | once upon a time there lived a {kin} in {place}
the minister said on {day} that prices for {goods} would rise by {count} percent
in {place} the police are looking for a {vehicle} after {trouble} on {day} evening
our guest today grew up in {place} and learned to play the {thing} when he was {count}
let me tell you a story about my {kin} and the {vehicle} | you are listening to radio {place}
the museum in {place} opens a new show about {goods} on {day} | well i never heard such a thing
no he is not in today try again on {day} | yes i think the {team} will win it this year
turn up the radio this is a good one | it is {count} past {count} and here is {artist}
""".strip()
"""Talk that is not meant for the assistant: radio, colleagues, some of it about vehicles."""

TALK_WORDS: dict[str, tuple[str, ...]] = {
    "sky": ("sunny", "cloudy", "dry", "windy", "bright", "wet", "cold", "foggy"),
    "place": ("the north", "the valley", "Harlow", "the old town", "Milbrook", "the coast", "Ashford", "the west"),
    "team": ("Rovers", "Lions", "Wanderers", "Hawks", "Albion", "Tigers"),
    "trouble": ("an accident", "a water leak", "roadworks", "the noise", "a fallen tree", "the smell of petrol"),
    "artist": ("the Riverside Band", "Molly Green", "Johnny Marsh", "the Night Trains"),
    "goods": ("furniture", "coffee", "bread", "paint", "garden chairs", "tickets", "shoes", "firewood"),
    "kin": ("brother", "mother in law", "uncle", "neighbour", "daughter", "grandfather"),
    "day": ("Monday", "Friday", "Saturday", "Thursday", "Sunday"),
    "vehicle": ("blue van", "tractor", "old pickup", "delivery truck", "red estate", "bus", "motorcycle"),
    "work": ("new tyres", "an oil change", "a wash", "brake pads", "a battery", "its windows cleaned"),
    "thing": ("broom", "ladder", "lamp", "guitar", "jacket", "bucket", "coffee cup", "newspaper"),
    "count": ("two", "three", "five", "seven", "nine", "twelve", "fifteen", "eighteen", "twenty", "sixty", "eighty"),
}
