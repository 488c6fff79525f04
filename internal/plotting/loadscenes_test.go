package plotting

// twoPans is the load on the pans of two sleds along one pull.
func twoPans() Loads {
	return Loads{
		Title: "The load on both pans", Description: "Both pans along the pull.", AlongPull: true, ShadeGap: true,
		FinishFt: 300, Lines: []LoadLine{pull230("Bluestem, C: 16,000 lb in the box", 9_181, 31_641),
			pull230("Fescue, 2: 14,000 lb in the box", 11_658, 31_482)},
	}
}

// pull230 is a load that grows evenly until the box tops out at 230 ft.
func pull230(label string, hook, top float64) LoadLine {
	l := LoadLine{Label: label}
	for _, at := range []float64{0, 60, 120, 180, 230, 300} {
		lb := hook + (top-hook)*min(at/230, 1)
		l.Line = append(l.Line, LoadPoint{AtFt: at, Lb: lb, LowLb: lb - 160, HighLb: lb + 160})
	}
	return l
}

// onePan is the load on one pan along the travel, with the weighings it comes from, one of them set aside.
func onePan() Loads {
	l := Loads{Title: "The load on the pan", Description: "One pan along the travel."}
	for _, of := range []struct {
		label     string
		back, top float64
	}{{"empty box", 10_700, 16_120}, {"12,000 lb in the box", 9_560, 27_760}} {
		line := LoadLine{Label: of.label}
		for _, at := range []float64{0, 15, 30} {
			lb := of.back + (of.top-of.back)*at/30
			line.Line = append(line.Line, LoadPoint{AtFt: at, Lb: lb, LowLb: lb - 150, HighLb: lb + 150})
			line.Weighed = append(line.Weighed, WeighedPoint{AtFt: at, Lb: lb + 20})
		}
		l.Lines = append(l.Lines, line)
	}
	l.Lines[1].Weighed = append(l.Lines[1].Weighed, WeighedPoint{AtFt: 15, Lb: 8_700, SetAside: true})
	return l
}

// longPans has names that no legend has room for.
func longPans() Loads {
	l := twoPans()
	for i := range l.Lines {
		l.Lines[i].Label = "Slender Wheatgrass of the far meadow, second of its name, 3 high: 14,000 lb in the box"
	}
	return l
}
