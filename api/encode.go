package main

import (
	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// valueOr is what pointer points to, or the value that stands where nothing was given.
func valueOr[T any](pointer *T, absent T) T {
	if pointer == nil {
		return absent
	}
	return *pointer
}

// notNil is a list that is [] in JSON where there is nothing in it, never null.
func notNil[T any](list []T) []T { return append([]T{}, list...) }

// nilIfZero is nil for the zero value, which stands for none.
func nilIfZero[T comparable](value T) *T {
	var zero T
	if value == zero {
		return nil
	}
	return &value
}

// unitsOf are the units of what people read, feet where nobody asks for others.
func unitsOf[U ~string](asked *U) fleet.Units { return fleet.Units(valueOr(asked, U(fleet.InFeet))) }

// mapSlice encodes a list; one without entries is [] in JSON, never null.
func mapSlice[From, To any](list []From, encode func(From) To) []To {
	encoded := make([]To, len(list))
	for i, one := range list {
		encoded[i] = encode(one)
	}
	return encoded
}

// mapPointer encodes what there is, nil where there is nothing.
func mapPointer[From, To any](one *From, encode func(From) To) *To {
	if one == nil {
		return nil
	}
	return new(encode(*one))
}

// topOut is an estimate in numbers, all nil where nothing is known: no number is shown that rests on nothing.
type topOut struct {
	expected, low, high, tonightLow, tonightHigh *float64
	average                                      *float64 // where the night asked about has readings of its own
}

func numbers(e calibrate.Estimate) topOut {
	if !e.Known() {
		return topOut{}
	}
	return topOut{&e.TonightFt, &e.LowFt, &e.HighFt, &e.TonightLowFt, &e.TonightHighFt,
		averageOf(e.TonightFt, e.TopOutFt)}
}

// averageOf is the average over days where it is not what is expected tonight.
func averageOf(tonight, average float64) *float64 {
	if tonight == average {
		return nil
	}
	return &average
}

// basis is "none" where an estimate says nothing.
func basis(e calibrate.Estimate) openapi.Basis {
	if !e.Known() {
		return openapi.BasisNone
	}
	return openapi.Basis(e.Basis)
}
