package shape

import "strings"

// The types of time of FHIR R4, by its regular expressions and by the calendar.

// IsDate tells whether a text is a year, month or day of the calendar.
func IsDate(s string) bool {
	if len(s) != 4 && len(s) != 7 && len(s) != 10 {
		return false
	}
	year, ok := digits(s[:4])
	if !ok || year == 0 {
		return false
	}
	if len(s) == 4 {
		return true
	}
	month, ok := digits(s[5:7])
	if !ok || s[4] != '-' || month < 1 || month > 12 {
		return false
	}
	if len(s) == 7 {
		return true
	}
	day, ok := digits(s[8:])
	return ok && s[7] == '-' && day >= 1 && day <= daysIn(year, month)
}

func daysIn(year, month int) int {
	switch month {
	case 4, 6, 9, 11:
		return 30
	case 2:
		if year%4 == 0 && (year%100 != 0 || year%400 == 0) {
			return 29
		}
		return 28
	}
	return 31
}

// IsDateTime tells whether a text is a date, or a day and a time of day with an offset.
func IsDateTime(s string) bool {
	if len(s) <= 10 {
		return IsDate(s)
	}
	return IsInstant(s)
}

// IsInstant tells whether a text is a day and a time of day with an offset.
func IsInstant(s string) bool {
	return len(s) > 11 && s[10] == 'T' && IsDate(s[:10]) && isClock(s[11:])
}

// isClock judges 14:30:00+02:00: a leap second may be told, an offset goes up to 14
// hours.
func isClock(s string) bool {
	of := strings.IndexAny(s, "Z+-")
	if of < 0 || !isTimeOfDay(s[:of]) {
		return false
	}
	offset := s[of:]
	if offset == "Z" {
		return true
	}
	if len(offset) != len("+02:00") || offset[0] == 'Z' || offset[3] != ':' {
		return false
	}
	return upTo(offset[1:3], 13) && upTo(offset[4:], 59) || offset[1:] == "14:00"
}

// isTimeOfDay judges 14:30:00, with as many digits of a second as there are.
func isTimeOfDay(s string) bool {
	if len(s) < 8 || !upTo(s[:2], 23) || s[2] != ':' || !upTo(s[3:5], 59) || s[5] != ':' || !upTo(s[6:8], 60) {
		return false
	}
	if len(s) == 8 {
		return true
	}
	if s[8] != '.' || len(s) == 9 {
		return false
	}
	for i := 9; i < len(s); i++ {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return true
}

// upTo tells whether a text is digits that are at most most.
func upTo(s string, most int) bool {
	n, ok := digits(s)
	return ok && n <= most
}

// digits gives the number that a few digits are.
func digits(s string) (n int, ok bool) {
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return 0, false
		}
		n = n*10 + int(s[i]-'0')
	}
	return n, s != ""
}
