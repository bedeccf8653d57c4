"""Linear propagation by the uncertainties package. Reads
{"values": [...], "covariance": [[...]], "expressions": ["x[0]*x[1]", ...]} and
prints [[value, standard uncertainty, covariance with x[0]], ...]."""

import json
import sys

from uncertainties import correlated_values, covariance_matrix, umath

request = json.load(sys.stdin)
x = correlated_values(request["values"], request["covariance"])
answer = []
for text in request["expressions"]:
    y = eval(text, {"x": x, "exp": umath.exp, "log": umath.log})
    y = y + 0 * x[0]
    answer.append([y.nominal_value, y.std_dev, covariance_matrix([y, x[0]])[0][1]])
json.dump(answer, sys.stdout)
