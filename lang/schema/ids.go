package schema

// ID names a kind.
type ID uint8

// The kinds. The three kinds of `row` have names of their own.
const (
	None ID = iota // no kind
	Title
	Use
	Quantity
	Setting
	Option
	Only
	Ground
	Node
	Supply
	Origin
	Wire
	Splice
	Connector
	Hose
	Part
	Takes
	Shows
	Fit
	Bench
	Pin
	Port
	Coil
	Armature
	Contact
	Chart
	ChartRow
	Load
	Resistor
	Diode
	Fuse
	Passage
	Sender
	Powered
	Input
	Driver
	Threshold
	Timer
	TimerRow
	Beat
	Condition
	Result
	ResultRow
	Modes
	Mode
	From
	Bands
	Band
	Assume
	Require
	Drive
	Step
	Symptom
	Noticed
	Fault
	Accept

	idCount
)

// Count is how many IDs there are, None included.
const Count = int(idCount)

// FormID names a clause. A constant is the name of the kind and what the clause says.
type FormID uint16

// The clauses, kind by kind; the table says what each looks like and which slots it has.
const (
	QuantityRange FormID = iota
	QuantityChanges
	QuantityStarts

	SettingPosition
	SettingInOrder
	SettingSpringsBack
	SettingStarts

	OptionPosition

	SupplyVolts
	SupplyEnds
	SupplyInside
	SupplyAnywhere
	SupplyOneWay
	SupplyWhile

	OriginMedium
	OriginPresent

	WireEnds
	WireColour
	WireArea
	WireLength
	WireByArgument
	WireRated
	WireAt

	ConnectorWays
	ConnectorColour
	ConnectorKeyed
	ConnectorPlugsOnto
	ConnectorInReach

	HoseEnds
	HoseClamped

	TakesType
	TakesDefault
	TakesDefaultWhen

	FitPart
	FitMany
	FitElsewhere

	BenchWith

	PortMedium
	PortOpen

	CoilEnds
	CoilResistance
	CoilPullsIn
	CoilDropsOut
	CoilTurns

	ArmatureMovedAgainst
	ArmatureMoved
	ArmaturePullsIn
	ArmatureDropsOut
	ArmatureSet
	ArmatureReleased

	ContactEnds
	ContactRests
	ContactMake
	ContactBreak
	ContactGoesTo
	ContactBreaksFirst
	ContactMakesFirst
	ContactBy
	ContactMadeWhen
	ContactMadeSometimes
	ContactUpTo
	ContactResistance

	ChartFollows
	ChartUpTo

	ChartRowJoins
	ChartRowOpen

	LoadEnds
	LoadRated
	LoadCold
	LoadLevel

	ResistorEnds
	ResistorValue

	DiodeEnds
	DiodeDrop

	FuseEnds
	FuseRating

	PassageEnds
	PassagePasses
	PassageAlways
	PassageOneWay

	SenderAt
	SenderTells
	SenderAccuracy

	PoweredWorks
	PoweredDraws

	InputAt
	InputReadsSender
	InputReadsVolts
	InputCountsValue
	InputCountsLevel
	InputPulledUp
	InputPulledDown
	InputLow
	InputHigh

	DriverEarths
	DriverFeeds
	DriverWhen
	DriverUpTo
	DriverInside
	DriverClamped

	ThresholdSubject
	ThresholdSetsAt
	ThresholdSetsAbove
	ThresholdSetsBelow
	ThresholdClearsAt
	ThresholdClearsBelow
	ThresholdClearsAbove
	ThresholdStartsSet

	TimerRuns
	TimerStarts
	TimerLasts
	TimerStops

	TimerRowLasts
	TimerRowWhen
	TimerRowOtherwise

	BeatOn
	BeatOff
	BeatWhile

	ConditionIs

	ResultRowWhen
	ResultRowOtherwise

	ModesStart

	FromWhen

	BandsOver
	BandsWhile

	BandRange
	BandKeeps
	BandEnters
	BandClaim

	AssumeFalls
	AssumeRises
	AssumeMoves
	AssumeNever
	AssumeAlways

	RequireNever
	RequireAlways
	RequirePossible
	RequireApart
	RequireWithin
	RequireWhenever
	RequireRepeatsWhenever
	RequireRepeats
	RequireDespite
	RequireDespiteBut
	RequireDespiteTwo
	RequireDespiteNamed

	DriveWith
	DriveFrom

	StepSetPosition
	StepSetValue
	StepRamp
	StepWait
	StepSeeOnce
	StepSeeThroughout
	StepSeeEnd
	StepSee
	StepFail
	StepSwap
	StepMend

	SymptomWhen

	NoticedAny
	NoticedAnyBut
	NoticedFaults
	NoticedShows
	NoticedSymptom
	NoticedRefuses
	NoticedBefore

	FaultSwap
	FaultFail

	AcceptOnDesign
	AcceptOn
	AcceptBecause
	AcceptUntil

	formCount
)
