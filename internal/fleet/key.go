package fleet

import "time"

// Role is what a key gives the right to.
type Role string

// The roles.
const (
	Manager  Role = "manager"  // everything
	Operator Role = "operator" // readings, and what a show was run with
	Promoter Role = "promoter" // classes and shows
)

func (r Role) known() bool { return r == Manager || r == Operator || r == Promoter }

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

// Key is what is listed of a key, without the secret.
type Key struct {
	ID         string     `json:"id"`
	Name       string     `json:"name"` // whose it is; several keys may be one person's
	Role       Role       `json:"role"`
	CreatedAt  time.Time  `json:"created_at"`
	LastUsedAt *time.Time `json:"-"` // to the hour; it is no part of what is written about a key
	EndedAt    *time.Time `json:"ended_at,omitempty"`
}

// Tidy drops space around the name and folds Unicode to one form.
func (k *Key) Tidy() { k.Name = tidy(k.Name) }

// Check reports everything wrong with a tidied key.
func (k Key) Check() *Faults {
	f := new(Faults)
	checkLine(f, "name", k.Name, 1, MaxNameLength)
	if !k.Role.known() {
		f.Add("role", "must be manager, operator or promoter, not %q", k.Role)
	}
	return f
}
