"""Papers of aircraft and pilot, as the pilot states them; None: not said."""

from datetime import date

import attrs


@attrs.frozen
class Papers:
    """What is said of the papers.

    Parameters
    ----------
    registered_until : last day of the registration.
    marked : whether the number stands on the outside of the aircraft.
    proof_carried : whether proof of registration goes along.
    test_passed : whether the recreational safety test is passed and its proof goes along.
    certificate : number of the remote pilot certificate; '' not said.
    trained_on : day of the certificate's test or of the latest recurrent training.
    paid : whether somebody pays for the flight or it promotes a business.
    """

    registered_until: date | None = None
    marked: bool | None = None
    proof_carried: bool | None = None
    test_passed: bool | None = None
    certificate: str = ""
    trained_on: date | None = None
    paid: bool | None = None
