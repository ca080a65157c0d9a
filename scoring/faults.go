package scoring

// Kinds of fault that a run can show. The order is that of the list in MARKS.md.
const (
	FaultLag        = "lag"         // the hand follows too late
	FaultWrongWay   = "wrong-way"   // the knob is turned away from zero beat
	FaultHunting    = "hunting"     // to and fro about zero beat
	FaultFreeze     = "freeze"      // the hand stops at closest approach
	FaultBias       = "bias"        // holds a pitch that is not the right one
	FaultAhead      = "ahead"       // runs ahead of the pass, or holds a pitch that is not the right one: which, cannot be told
	FaultLetGo      = "let-go"      // does not turn while listening
	FaultOverLead   = "over-lead"   // turns too much while listening
	FaultTalkStill  = "talk-still"  // turns while listening, and not while talking
	FaultSlowReturn = "slow-return" // comes back slowly for neither reason
	FaultChasing    = "chasing"     // turns the dial that the rule leaves alone
	FaultOnOthers   = "on-others"   // sits on another station
	FaultLongCall   = "long-call"   // one long carrier while searching
	FaultPower      = "power"       // stronger than the beacon
	FaultOutside    = "outside"     // outside the passband
	FaultSilent     = "silent"      // does not key in his own over
	FaultTalksOver  = "talks-over"  // keys in the other's over
	FaultSlowFind   = "slow-find"   // took long to find himself
	FaultNotFound   = "not-found"   // never found himself
	FaultLost       = "lost"        // lost himself after having been found
	FaultLoose      = "loose"       // holds loosely for no reason named above
	FaultContacts   = "contacts"    // made none of the contacts that the drill asks for
	FaultCard       = "card"        // left the receive dial off its card, where both dials are the hand's
	FaultStill      = "still"       // never turned a dial
	FaultNoCall     = "no-call"     // searched among others without saying who he is
	FaultBlind      = "blind"       // keyed long in all while nothing of his own was to be heard
	FaultSwept      = "swept"       // turned through others with the key down
	FaultNotHome    = "not-home"    // found himself with the receive dial and left it there
	FaultAim        = "aim"         // its return stood below the noise, and the hand antenna pointed beside the bird
	NoteWeak        = "weak"        // not the hand: the return stood below the noise
	NoteElements    = "elements"    // not the hand: elements or clock
	NoteKnob        = "knob"        // not the hand: the knob's step
	NoteClean       = "clean"       // nothing stands out
)

// Thresholds for naming a fault: choices of this project, most of them tried
// on simulated hands only.
const (
	lagNamedS        = 1.0
	wrongWayNamed    = 2    // more than this many
	huntingNamed     = 2.2  // travel ratio; good simulated hands stay under 2
	huntingPerMin    = 6.0  // and so many reversals
	huntingSwingHz   = 40.0 // and swings of so much (RMS against the mean of three seconds), and of more than a step
	minCost          = 20.0 // points below which nothing is said of holding and coming back
	freezeNamed      = 2.5  // top ratio, after the lag is taken out
	biasNamedHz      = 25.0 // and more than twice its standard error
	biasSpreadHz     = 40.0 // and a spread below this
	letGoRatio       = 0.8  // of the drift left in while listening
	letGoCorrelation = 0.9
	letGoMinDriftHz  = 60.0  // the listening times must have drifted by this much (RMS)
	stoppedOwnS      = 8.0   // keyed seconds in which the knob stood still
	stoppedHz        = 300.0 // while the pass drifted by so much
	pulledFromHzS    = 3.0   // a steady error on the side to which a pass pulls faster than this is a lag, where the rate hardly varies:
	flatRate         = 0.4   // by less than this part of its mean; what is more than so many
	latestS          = 2.5   // seconds of drift and what a dull ear lets be is no lag
	letBeHz          = 25.0
	talkStillShare   = 0.3  // of the drift in the own overs that was turned, at most,
	listenTurned     = 0.5  // while in the other's overs more than this was
	talkStillHz      = 60.0 // and the pass drifted, and he was off (RMS), by so much
	oftenPerMin      = 3.0  // wrong ways a minute that make a steady error of their own
	overLeadShare    = 0.5  // of the listening times ended on the other side
	overLeadHz       = 50.0 // by at least this
	overLeadPart     = 0.15 // and by this part of the drift
	chasingHz        = 300.0
	onOthersNamedS   = 3.0
	longCallNamedS   = 5.0
	noCallNamedS     = 1.5
	blindNamedS      = 20.0 // as much as a good search of seven places takes, and half as much again
	sweptNamedKHz    = 1.0
	notHomeNamedHz   = 300.0
	powerNamedS      = 5.0
	outsideNamedS    = 5.0
	silentNamed      = 0.1 // share of the assigned time
	silentNamedS     = 5.0
	talksOverNamedS  = 3.0
	slowFindNamedS   = 45.0
	slowReturnNamedS = 4.0
	looseNamedHz     = 60.0 // RMS
	lostNamedS       = 15.0 // assigned seconds without a break farther off than lostHz, come-backs left out
	elementsNamedS   = 1.0
	knobLikeness     = 0.2 // RMS within this share of step/sqrt(12)
)

// What a fault that the hold index does not show is taken to cost, so that the
// costliest can be said first: choices of this project, after a trainer's
// sense of what matters on the air. They are never taken off any mark.
const (
	onOthersCost, onOthersCostS   = 150.0, 15.0
	powerCost, powerCostS         = 100.0, 20.0
	powerHalfDB                   = 3.0 // so much above the beacon costs half
	outsideCost, outsideCostS     = 100.0, 20.0
	talksOverCost, talksOverCostS = 100.0, 15.0
	longCallCostPerS, longCallCap = 5.0, 150.0
	noCallCost, noCallCostS       = 60.0, 15.0
	blindCost, blindCostS         = 150.0, 20.0
	sweptCost, sweptCostKHz       = 120.0, 3.0
	notHomeCost                   = 25.0
	chasingCost, chasingCostHz    = 100.0, 1000.0
	slowFindCost, slowFindHalfS   = 150.0, 30.0
	notFoundCost                  = 1000.0
)
