package route

import "net/url"

// Bench lists the calculators.
func Bench() string { return "/bench" }

// Calculator is one of them. What is typed is in its query, so that the address holds the answer.
func Calculator(name string) string { return Bench() + "/" + name }

// CalculatorWith is a calculator with its fields filled in.
func CalculatorWith(name string, typed url.Values) string {
	if len(typed) == 0 {
		return Calculator(name)
	}
	return Calculator(name) + "?" + typed.Encode()
}
