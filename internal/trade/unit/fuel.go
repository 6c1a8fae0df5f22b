package unit

// The use of fuel: l/100 km counts fuel by distance, mpg distance by fuel, so that one is a constant over the other and
// neither is a factor of the other.
const (
	fuelUS  = 100 * usGal / (mile / 1000)
	fuelImp = 100 * impGal / (mile / 1000)
)

// PerHundredFromMPGUS is the use of fuel in l/100 km of so many miles to the US gallon; it serves the other way round too.
// It is 0 when mpg is not positive.
func PerHundredFromMPGUS(mpg float64) float64 { return over(fuelUS, mpg) }

// PerHundredFromMPGImp is the use of fuel in l/100 km of so many miles to the imperial gallon; it serves the other way round
// too. It is 0 when mpg is not positive.
func PerHundredFromMPGImp(mpg float64) float64 { return over(fuelImp, mpg) }

func over(constant, v float64) float64 {
	if v <= 0 {
		return 0
	}
	return constant / v
}
