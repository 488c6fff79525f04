package fleet

// Role is what a key gives the right to.
type Role string

// The roles.
const (
	Manager  Role = "manager"  // everything
	Operator Role = "operator" // readings, and what a show was run with
	Promoter Role = "promoter" // classes and shows
)

// Actor is who writes: the key that a request carries, or the program itself.
type Actor struct {
	KeyID string // "" where it is no key of the database
	Name  string // of the key, as it is now
	Role  Role
}

// TheProgram writes what no key asked for: the demo, the first key, the closed sheet of a show that is over.
func TheProgram() Actor { return Actor{Name: "the program itself", Role: Manager} }

// TheCommandLine is whoever runs a command on the machine itself.
func TheCommandLine() Actor { return Actor{Name: "the command line", Role: Manager} }

// TheSetKey is whoever has the key that is in the settings.
func TheSetKey() Actor { return Actor{Name: "the key set at the start", Role: Manager} }
