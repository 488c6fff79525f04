package fleet

// CheckCode says what a check found. Programs go by it; the words for it are in package words.
type CheckCode string

// What checks find.
const (
	ReadingOutOfLine       CheckCode = "reading-out-of-line"
	ReadingFitsAnotherGear CheckCode = "reading-fits-another-gear"
	ReadingUnused          CheckCode = "reading-unused"
	ReadingsOutdated       CheckCode = "readings-outdated"
	PastTopTooEarly        CheckCode = "past-top-too-early"
	DayStandsOff           CheckCode = "day-stands-off"
	GearReadOnce           CheckCode = "gear-read-once"
	GearsAlike             CheckCode = "gears-alike"
	TravelDisagrees        CheckCode = "travel-disagrees"
	ChangeDisagrees        CheckCode = "change-disagrees"
	NotMeasuredLately      CheckCode = "not-measured-lately"
	ReadingsDisagree       CheckCode = "readings-disagree" // two of a gear, and nothing tells which is wrong
	// it stands out and counts, because somebody said so; DifferenceFt is what it moves its gear by, 0 where that is
	// less than the others leave open
	ReadingConfirmed CheckCode = "reading-confirmed"
	ReadingNearTop   CheckCode = "reading-near-top" // the box moved too little to say anything
	OneDayOnly       CheckCode = "one-day-only"
	// made with another travel than today's, and a measured shape does not say what it would be with this one
	ReadingOfAnotherTravel CheckCode = "reading-of-another-travel"
)

// MendKind is a usual mistake in writing a reading down.
type MendKind string

// The usual mistakes.
const (
	AnotherGear   MendKind = "another-gear"   // noted under another gear's label
	LabelsSwapped MendKind = "labels-swapped" // two gears noted under each other's label for a day
	SwappedDigits MendKind = "swapped-digits"
	MetersAsFeet  MendKind = "meters-as-feet"
	FeetAsMeters  MendKind = "feet-as-meters"
	DecimalPoint  MendKind = "decimal-point" // lost, or in the wrong place
	OtherEnd      MendKind = "other-end"     // the start position measured from the top
)

// Mend is a reading as it would be without a usual mistake.
type Mend struct {
	Kind       MendKind
	Gear       string // label
	DistanceFt float64
	StartFt    float64
}

// Check is something in the notebook that somebody should look at, as a code and what goes with it. It changes nothing
// by itself. A field that its code has no use for is empty.
type Check struct {
	Code          CheckCode
	Reading       string  // the id of the reading it points at
	Gear          string  // label
	OtherReading  string  // the id of the one that Reading disagrees with
	OtherFt       float64 // its distance
	OtherGear     string  // label of the gear that a reading fits, or that Gear cannot be told from
	Day           string  // test day, by its name
	OtherDay      string  // where there are two and one of them is off
	On            string  // ISO 8601 date
	Readings      int     // how many it is about
	StartFt       float64
	DistanceFt    float64 // what was noted or taped
	ExpectedFt    float64 // what the other readings say in its place; 0 where they say nothing
	LowFt, HighFt float64 // 95 % interval of ExpectedFt
	Used          bool    // the chart goes by ExpectedFt and not by DistanceFt
	DifferenceFt  float64 // positive is farther
	DifferencePct float64 // positive is farther
	Mend          *Mend   // what may have happened to Reading; nil where nothing usual explains it
}
