"""Write every drawing to the folder the site shows them from."""

from pathlib import Path

from training.drawings.writing import write_all

if __name__ == "__main__":
    target = Path(__file__).resolve().parents[2] / "media" / "illustrations"
    print(f"{len(write_all(target))} drawings in {target}")
