package fleet

// Row is one reading of many. Number is what its sender calls it; Reading.Sled is the sled's id. Faults is what reading
// the row found: a field named there is not judged again, and a fault at "" says that nothing could be read.
type Row struct {
	Number  int
	Reading Reading
	Faults  Faults
}
