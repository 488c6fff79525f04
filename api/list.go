package main

// How long a page of a list is when nobody says, and at most. The contract says the same.
const (
	defaultLimit = 100
	mostLimit    = 500
)

// allPages reads all pages of a list.
func allPages[T any](page func(after string) ([]T, string, error)) ([]T, error) {
	var all []T
	for after := ""; ; {
		items, next, err := page(after)
		if err != nil {
			return nil, err
		}
		all = append(all, items...)
		if next == "" {
			return all, nil
		}
		after = next
	}
}
