"""Every source that a published case names, each once: {key in the tables: full reference}.

A key is what stands in a table's column; a reference says author or issuer, year, title and where it appeared.
"""

from __future__ import annotations

SOURCES = {
    # ----- curve, beams, foundation
    "Mattiasson 1981": "Mattiasson K. (1981) Numerical results from large deflection beam and frame problems analysed "
    "by means of elliptic integrals, Int. J. Numer. Meth. Eng. 17:145-153",
    "Bisshopp & Drucker 1945": "Bisshopp K.E. and Drucker D.C. (1945) Large deflection of cantilever beams, "
    "Quart. Appl. Math. 3:272-275",
    "Todd 1975": "Todd J. (1975) The lemniscate constants, Communications of the ACM 18:14-19",
    "Gauss 1799": "Gauss C.F. (1799) diary, 30 May: the constant named after him, 1 over the arithmetic-geometric mean "
    "of 1 and √2, as quoted in tables of constants",
    "Euler 1786": "Euler L., the product of the two lemniscate integrals, E605, published 1786",
    "ASTM D1388": "ASTM D1388, Standard test method for stiffness of fabrics, cantilever test",
    "AISC Manual": "American Institute of Steel Construction, Steel Construction Manual, shears, moments and "
    "deflections of beams",
    "Gere & Goodno": "Gere J.M. and Goodno B.J., Mechanics of Materials, appendix on deflections and slopes of beams",
    "felab formulas": "A public set of beam formulas, program felab, file beamdeflections",
    "Roark 1989": "Young W.C., Roark's Formulas for Stress and Strain, 6th ed., McGraw-Hill 1989",
    "Hetenyi 1946": "Hetenyi M. (1946) Beams on Elastic Foundation, University of Michigan Press",
    "Kanninen 1973": "Kanninen M.F. (1973) An augmented double cantilever beam model for studying crack propagation "
    "and arrest, Int. J. Fracture 9:83-92",
    "Rayleigh 1877": "Rayleigh, Lord (1877) The Theory of Sound, vol. 1, ch. 8: effective mass of a bar fixed at "
    "one end",
    # ----- plates and buckling
    "Timoshenko & W.-K. 1959": "Timoshenko S.P. and Woinowsky-Krieger S., Theory of Plates and Shells, 2nd ed., "
    "McGraw-Hill 1959",
    "Levy 1942 a": "Levy S. (1942) Square plate with clamped edges under normal pressure producing large deflections, "
    "NACA TN 847 and Report 740",
    "Tran 2015": "Tran L.V. et al. (2015) Geometrically nonlinear isogeometric analysis of laminated composite plates, "
    "Int. J. Non-Linear Mech. 72:42-52",
    "Sze 2004": "Sze K.Y., Liu X.H. and Lo S.H. (2004) Popular benchmark problems for geometric nonlinear analysis of "
    "shells, Finite Elem. Anal. Des. 40:1551-1569",
    "Roark 2002": "Young W.C. and Budynas R.G., Roark's Formulas for Stress and Strain, 7th ed., McGraw-Hill 2002",
    "Plate formulas": "Plate formulas, a web table that cites Roark, Pilkey and Timoshenko (structsource.com)",
    "Taylor & Govindjee 2004": "Taylor R.L. and Govindjee S. (2004) Solution of clamped rectangular plate problems, "
    "Comm. Numer. Meth. Eng. 20:757-765",
    "Navier 1823": "Navier C.L.M.H. (1823), double series of the supported rectangular plate, as in Timoshenko and "
    "Woinowsky-Krieger, ch. 5",
    "Timoshenko & Gere 1961": "Timoshenko S.P. and Gere J.M., Theory of Elastic Stability, 2nd ed., McGraw-Hill 1961",
    "Bryan 1891": "Bryan G.H. (1891) On the stability of a plane plate under thrusts in its own plane, Proc. London "
    "Math. Soc. 22:54-67",
    "Levy 1942": "Levy S. (1942) Buckling of rectangular plates with built-in edges, J. Appl. Mech. 9:A171-A174",
    "Gerard & Becker 1957": "Gerard G. and Becker H. (1957) Handbook of Structural Stability, part I: Buckling of flat "
    "plates, NACA TN 3781",
    "Batdorf 1947": "Batdorf S.B. (1947) A simplified method of elastic-stability analysis for thin cylindrical "
    "shells, NACA TN 1341 and 1342",
    "Seydel 1933": "Seydel E. (1933) Über das Ausbeulen von rechteckigen, isotropen oder orthogonal-anisotropen "
    "Platten bei Schubbeanspruchung, Ingenieur-Archiv 4:169-191",
    "Lekhnitskii 1968": "Lekhnitskii S.G., Anisotropic Plates, Gordon and Breach 1968",
    "Jones 1999": "Jones R.M., Mechanics of Composite Materials, 2nd ed., Taylor & Francis 1999",
    # ----- section and joint
    "Megson 2010": "Megson T.H.G. (2010) An Introduction to Aircraft Structural Analysis, Elsevier",
    "Johnson 2000": "Johnson D. (2000) Advanced Structural Mechanics, 2nd ed., Thomas Telford",
    "ASTM D5528": "ASTM D5528, Standard test method for mode I interlaminar fracture toughness, double cantilever beam",
    "DCB note": "A public note on the double cantilever beam of ASTM D5528",
    "ASTM D3433": "ASTM D3433, Standard test method for fracture strength in cleavage of adhesives in bonded metal "
    "joints",
    "Shigley": "Budynas R.G. and Nisbett J.K., Shigley's Mechanical Engineering Design, ch. 8: bolt groups",
    # ----- bench
    "ISO 178": "ISO 178, Plastics: determination of flexural properties",
    "JCGM 100": "JCGM 100:2008, Evaluation of measurement data: Guide to the expression of uncertainty in measurement",
    # ----- stock
    "Viana 2019": "Viana F.A.L. et al. (2019) Frattura ed Integrità Strutturale 48:286-303, doi 10.3221/IGF-ESIS.48.29",
    "Aluminum Design Manual": "The Aluminum Association, Aluminum Design Manual",
    "ADR 2017": "Agreement concerning the international carriage of dangerous goods by road (ADR), 2017",
    "FAA AC 43.13-1B": "Federal Aviation Administration, Advisory Circular 43.13-1B",
    "Finnish Plywood": "Handbook of Finnish Plywood, birch plywood",
    "Laminators' chart": "A laminator's comparative chart of NEMA grades, engineering minimum values",
    "Acrylic data": "A sheet supplier's data of 1/4 in extruded acrylic (ASTM D790)",
    "Polycarbonate data": "A supplier's data of machine-grade polycarbonate (ASTM)",
    "Okoume data": "A wood-species data page, okoume at 12 % moisture",
    "Budinski 1999": "Budinski K.G. and Budinski M.K. (1999) Engineering Materials, 6th ed., Prentice Hall",
    # ----- water and loads
    "Fofonoff & Millard 1983": "Fofonoff N.P. and Millard R.C. (1983) Algorithms for computation of fundamental "
    "properties of seawater, UNESCO Technical Papers in Marine Science 44",
    "TEOS-10": "IOC, SCOR and IAPSO (2010) The international thermodynamic equation of seawater: computed with its "
    "authors' library",
    "ITTC 2011": "ITTC Recommended Procedure 7.5-02-01-03 (2011) Fresh water and seawater properties",
    "Tanaka 2001": "Tanaka M. et al. (2001) Recommended table for the density of water, Metrologia 38:301-309",
    "Prestero 2001": "Prestero T. (2001) Verification of a six-degree of freedom simulation model, thesis, MIT",
    "Whicker & Fehlner 1958": "Whicker L.F. and Fehlner L.F. (1958) Free-stream characteristics of a family of "
    "low-aspect-ratio, all-movable control surfaces, DTMB Report 933",
    "Lloyd 1989": "Lloyd A.R.J.M. (1989) Seakeeping: Ship Behaviour in Rough Weather, Ellis Horwood",
    "Helmbold 1942": "Helmbold H.B. (1942) Der unverwundene Ellipsenflügel als tragende Fläche, Jahrbuch der "
    "deutschen Luftfahrtforschung",
    "Jones 1946": "Jones R.T. (1946) Properties of low-aspect-ratio pointed wings, NACA Report 835",
    "Schrenk 1940": "Schrenk O. (1940) A simple approximation method for obtaining the spanwise lift distribution, "
    "NACA TM 948",
    "ISO 2533": "ISO 2533:1975, Standard atmosphere",
    # ----- heat and cure
    "Carslaw & Jaeger 1959": "Carslaw H.S. and Jaeger J.C. (1959) Conduction of Heat in Solids, 2nd ed., Oxford",
    "Incropera & DeWitt": "Incropera F.P. and DeWitt D.P., Fundamentals of Heat and Mass Transfer, Wiley",
    "Frank-Kamenetskii 1938": "Frank-Kamenetskii D.A. (1938), thermal explosion; its constants as in an abstract on "
    "exact results for the slab",
    "Chambré 1952": "Chambré P.L. (1952) On the solution of the Poisson-Boltzmann equation with application to the "
    "theory of thermal explosions, J. Chem. Phys. 20:1795-1797",
    "Sourour & Kamal 1976": "Sourour S. and Kamal M.R. (1976) Differential scanning calorimetry of epoxy cure, "
    "Thermochim. Acta 14:41-59",
    "Barral 1995": "Barral L. et al. (1995) J. Appl. Polym. Sci. 56:1029-1037, abstract",
    "Mixing guide": "A maker's mixing guide: 100 to 47 by weight is 2 to 1 by volume",
}
