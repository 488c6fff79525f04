package fleet

import (
	"regexp"
	"strconv"
	"strings"
)

// decimalNumber is how people and spreadsheets write numbers. Go itself would also take NaN, Inf, 0x1p-2 and 1_000.
var decimalNumber = regexp.MustCompile(`^[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]+)?$`)

// withComma is a number with a comma, either decimal or between thousands.
var withComma = regexp.MustCompile(`^[+-]?[0-9]+,[0-9]+$`)

// ParseDecimal reads a number as people write it, or says what is wrong with it.
func ParseDecimal(text string) (number float64, wrong string) {
	switch {
	case text == "":
		return 0, "must be a number, not empty"
	case withComma.MatchString(text):
		point := strings.Replace(text, ",", ".", 1)
		return 0, "must be written with a decimal point, such as " + point + ", not " + Quoted(text)
	case !decimalNumber.MatchString(text):
		return 0, "must be a number, not " + Quoted(text)
	}
	number, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return 0, "is too large a number"
	}
	return number, ""
}
