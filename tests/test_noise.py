import os
import threading

import pytest

from convert.noise import noise_kept_off, standard_error


def test_nothing_written_in_c_is_seen_until_the_last_block_ends(capfd):
    with noise_kept_off():
        os.write(2, b"noise\n")
        with noise_kept_off():
            os.write(2, b"noise\n")
        os.write(2, b"noise\n")
        os.write(standard_error(), b"heard\n")
    os.write(2, b"told\n")
    os.write(standard_error(), b"told, too\n")
    assert capfd.readouterr().err == "heard\ntold\ntold, too\n"


def test_blocks_beside_each_other_leave_standard_error_as_it_was(capfd):
    both = threading.Barrier(2)

    def decode():
        for _ in range(50):
            both.wait()
            with noise_kept_off():
                os.write(2, b"noise\n")

    threads = [threading.Thread(target=decode) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    os.write(2, b"told\n")
    assert capfd.readouterr().err == "told\n"


def test_a_fault_in_the_block_leaves_standard_error_as_it_was(capfd):
    with pytest.raises(ValueError, match="damaged"), noise_kept_off():
        raise ValueError("damaged")
    os.write(2, b"told\n")
    assert capfd.readouterr().err == "told\n"
