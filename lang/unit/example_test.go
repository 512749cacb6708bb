package unit_test

import (
	"fmt"

	"pintle/lang/unit"
)

func ExampleNew() {
	degF, _ := unit.Lookup("°F")
	degC, _ := unit.Lookup("degC")
	point, _ := unit.New(unit.Int(68), degF).In(degC)
	difference, _ := unit.NewDifference(unit.Int(9), degF).In(degC)
	fmt.Println("68 degF is", point, "degC; 9 degF of accuracy are", difference, "degC")
	// Output: 68 degF is 20 degC; 9 degF of accuracy are 5 degC
}

func ExampleValue_Cmp() {
	psi, _ := unit.Lookup("psi")
	boost, manifold := unit.New(unit.Int(9), psi.AsGauge()), unit.New(unit.Int(20), psi.AsAbsolute())
	_, err := boost.Cmp(manifold)
	fmt.Println(err)
	// Output: 9 psi gauge and 20 psi absolute don't go together: gauge is measured from the surrounding air and absolute from nothing, and the air pressure between them is not known; write both the same way
}

func ExampleWithTolerance() {
	ohm, _ := unit.Lookup("ohm")
	ten, _ := unit.PercentTolerance(unit.Int(10))
	winding, _ := unit.WithTolerance(unit.New(unit.Int(85), ohm), ten)
	fmt.Printf("%s: %s to %s\n", winding, winding.Min(), winding.Max())
	// Output: 85 ohm +-10 %: 76.5 ohm to 93.5 ohm
}

func ExampleSuggest() {
	for _, word := range []string{"RPM", "volts", "psig", "rmp"} {
		u, _ := unit.Suggest(word)
		fmt.Println(word, "→", u)
	}
	// Output:
	// RPM → rpm
	// volts → V
	// psig → psi gauge
	// rmp → rpm
}

func ExampleFormat() {
	fmt.Println(unit.Format(0.0034, unit.Current), "through", unit.Format(1_200_000, unit.Resistance))
	// Output: 3.4 mA through 1.2 Mohm
}
