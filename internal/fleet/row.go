package fleet

// Row is one reading or weighing of many. Number is what its sender calls it. Faults is what reading the row found: a
// field named there, or in Unread, is not judged again, and a fault at "" says that nothing could be read.
type Row[T any] struct {
	Number int
	Record T
	// its sled may be a name and its gear a label in other letters; else the sled's id and the label
	AsTyped bool
	Unread  []string // fields that are missing in all rows, which is a fault of them all
	Faults  Faults
}
