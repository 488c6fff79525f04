package fleet

import "time"

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
	switch k.Role {
	case Manager, Operator, Promoter:
	default:
		f.Add("role", "must be manager, operator or promoter, not %q", k.Role)
	}
	return f
}
